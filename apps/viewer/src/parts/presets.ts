/** Which signals answer which question: the plots of each preset, by SPN. */
import type { RecordingInfo, SignalInfo } from '@firstcrank/feed'
import { bestSignal, signalId } from '../recording/signals.js'

/** A line of a preset: the first of these SPNs that the recording holds with a value. */
type Choice = readonly number[]

interface PresetPlot {
  readonly title: string
  readonly lines: readonly Choice[]
}

const plot = (title: string, ...lines: Choice[]): PresetPlot => ({ title, lines })

const SPEED = plot('Engine speed', [190])
const VOLTAGE = plot('Supply voltage', [168, 158])
const OIL = plot('Oil pressure', [100])
const RAIL = plot('Rail pressure', [157], [5313])
const COOLANT = plot('Temperatures', [110], [175], [105])

/** Every preset, in the order they are offered. */
export const PRESETS = {
  vitals: [SPEED, plot('Load and pedal', [92], [91]), OIL, COOLANT, plot('Boost', [102]), VOLTAGE],
  'first-start': [SPEED, VOLTAGE, OIL, RAIL, plot('Starter', [1675]), plot('Wait-to-start lamp', [1081])],
  charging: [VOLTAGE, SPEED, plot('Current', [115, 114]), plot('Starter', [1675]), plot('Intake heater', [626, 729])],
  air: [
    plot('Boost', [102]),
    plot('Air mass', [132]),
    plot('Intake temperature', [105, 52]),
    plot('EGR', [27], [2791]),
    plot('Load and pedal', [92], [91]),
    SPEED,
    plot('Barometer', [108]),
  ],
  fuel: [
    RAIL,
    plot('Fuel rate', [183]),
    plot('Fuel delivery pressure', [94]),
    plot('Fuel temperature', [174]),
    plot('Water in fuel', [97]),
    SPEED,
  ],
} as const satisfies Record<string, readonly PresetPlot[]>

export type PresetId = keyof typeof PRESETS

/** Signals of each plot, and the titles of what is not on this bus. */
export interface PresetPlots {
  readonly plots: readonly (readonly string[])[]
  readonly missing: readonly string[]
}

/** The plots of a preset for one recording. */
export function presetPlots(info: RecordingInfo, preset: PresetId): PresetPlots {
  const missing: string[] = []
  const plots = PRESETS[preset].flatMap(({ title, lines }) => {
    const found = lines.flatMap((choice) => pick(info.signals, choice) ?? [])
    const [first] = found
    if (first === undefined) {
      missing.push(title)
      return []
    }
    return [found.filter(({ unit }) => unit === first.unit).map((signal) => signalId(info, signal))]
  })
  return { plots, missing }
}

/** Signals together in one plot where they have the same unit; states apart. */
export function plotsByUnit(signals: readonly { readonly id: string; readonly unit: string | null }[]): string[][] {
  const plots = new Map<string, string[]>()
  for (const { id, unit } of signals) {
    const key = unit ?? id
    const known = plots.get(key)
    if (known === undefined) plots.set(key, [id])
    else if (!known.includes(id)) known.push(id)
  }
  return [...plots.values()]
}

function pick(signals: readonly SignalInfo[], choice: Choice): SignalInfo | undefined {
  for (const spn of choice) {
    const found = bestSignal(signals, spn)
    if (found?.valid) return found
  }
  return undefined
}
