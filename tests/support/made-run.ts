/**
 * Recordings of an engine made by hand: each signal is a function of time, so that a test says in one
 * line what is different from a healthy run. The engine is invented: three litres, idle at 750 rpm.
 */
import { encodeGroup, openRecording, type Recording, type SignalInput } from '@firstcrank/decoder'
import { findGroup } from '@firstcrank/decoder/catalog'
import { hexOf, type LogFrame, printLog, utf8 } from './log.js'

/** The value of a signal at a time, in seconds since key-on; undefined where its bytes are FF. */
export type ValueAt = (t: number) => SignalInput | undefined

/** Signals by SPN; null takes one off the bus. */
export type Signals = Readonly<Record<number, ValueAt | number | null>>

/** The instants of a run, in seconds since key-on; what did not happen is infinite. */
export interface Instants {
  /** Wait-to-start lamp on, and out. */
  readonly lamp: readonly [number, number]
  readonly crank: number
  /** It fires. */
  readonly fire: number
  /** Stretch of driving. */
  readonly drive: readonly [number, number]
  readonly keyOff: number
  /** The controller's last message. */
  readonly end: number
}

export interface MadeRun {
  readonly instants?: Partial<Instants>
  /** °C of everything at key-on. */
  readonly celsius?: number
  /** Values instead of the healthy ones. */
  readonly signals?: Signals
  /** PGNs that are not sent. */
  readonly without?: readonly number[]
  /** Milliseconds between the messages of a group, where not the usual. */
  readonly periods?: Readonly<Record<number, number>>
  /** Stretches in which the engine's controller is silent, seconds. */
  readonly silent?: readonly (readonly [number, number])[]
  readonly sa?: number
  readonly channel?: string
  /** Frames of others, times in seconds since key-on. */
  readonly others?: readonly (Omit<LogFrame, 'time'> & { readonly at: number })[]
}

/** Key-on, in microseconds: 2025-06-15 12:26:40 UTC. */
export const KEY_ON = 1_749_990_400_000_000

/** PGN, milliseconds between its messages, SPNs in it. */
const GROUPS: readonly (readonly [pgn: number, period: number, spns: readonly number[]])[] = [
  [61444, 20, [190, 1675]],
  [61443, 50, [91, 92, 29, 558]],
  [61450, 100, [132, 2659]],
  [64916, 100, [27]],
  [64981, 100, [2791]],
  [65266, 100, [183]],
  [65265, 100, [84]],
  [65243, 100, [157]],
  [64765, 100, [5313]],
  [64914, 250, [3543]],
  [65247, 250, [515]],
  [65263, 500, [100]],
  [65270, 500, [102, 105]],
  [64976, 500, [3563]],
  [65262, 1000, [110, 174, 175]],
  [65269, 1000, [108, 171, 172]],
  [65271, 1000, [168, 158]],
  [65252, 1000, [1081]],
]

const NEVER = Number.POSITIVE_INFINITY

/** What happens where a test says nothing: lamp, two seconds of cranking, idle, key off. */
export const USUAL: Instants = {
  lamp: [2, 8],
  crank: 12,
  fire: 14,
  drive: [NEVER, NEVER],
  keyOff: 120,
  end: 124,
}

/** Air an idling engine draws at 750 rpm, 100 kPa absolute and 20 °C, filling 0.90: by speed density. */
const airAt = (rpm: number, kPa: number, celsius: number): number =>
  3600 * 0.9 * 0.003 * (rpm / 120) * ((kPa * 1000) / (287 * (celsius + 273.15)))

/** Healthy values of every signal. */
export function healthySignals(instants: Instants, celsius: number): Record<number, ValueAt> {
  const { lamp, crank, fire, drive, keyOff } = instants
  const stops = keyOff + 0.6
  const runs = (t: number): boolean => t >= fire && t < keyOff
  const drives = (t: number): boolean => runs(t) && t >= drive[0] && t < drive[1]
  const speed = (t: number): number => {
    if (t < crank || t >= stops) return 0
    if (t < fire) return t < crank + 0.1 ? 120 : 200
    if (t >= keyOff) return 750 * (1 - (t - keyOff) / 0.6)
    if (drives(t)) return 2000
    // Up to idle within a second.
    return Math.min(750, 200 + 700 * (t - fire))
  }
  const boost = (t: number): number => (drives(t) ? 90 : 0)
  const coolant = (t: number): number => {
    const idle = runs(t) ? 1.4 * ((Math.min(t, drive[0]) - fire) / 60) : 0
    const driven = runs(t) && t > drive[0] ? 8 * ((Math.min(t, drive[1]) - drive[0]) / 60) : 0
    return Math.min(86, celsius + idle + driven)
  }
  const flow = (t: number): number => (runs(t) ? airAt(speed(t), 98 + boost(t), celsius) : 0)
  return {
    190: speed,
    1675: (t) => (t >= crank && t < fire ? 2 : runs(t) ? 4 : t >= lamp[0] && t < lamp[1] ? 5 : 0),
    3543: (t) => (t >= keyOff ? (t < stops ? 6 : 7) : t >= fire ? 4 : t >= crank ? 2 : 0),
    1081: (t) => (t >= lamp[0] && t < lamp[1] ? 1 : 0),
    91: (t) => (drives(t) ? 60 : 0),
    29: (t) => (drives(t) ? 60 : 0),
    558: (t) => (drives(t) ? 0 : 1),
    92: (t) => (drives(t) ? 85 : runs(t) ? 15 : 0),
    84: (t) => (drives(t) ? 60 : 0),
    132: flow,
    2659: () => 0,
    27: () => 0,
    2791: () => 0,
    183: (t) => (drives(t) ? 12 : runs(t) ? 0.9 : 0),
    157: (t) => (runs(t) ? 30 : 0),
    5313: (t) => (runs(t) ? 30 : 0),
    515: () => 750,
    100: (t) => (t < fire + 1.5 || t >= stops ? 0 : (drives(t) ? 400 : 140) + 4 * (Math.floor(2 * t) % 2)),
    102: boost,
    105: () => celsius,
    3563: (t) => 98 + boost(t),
    110: coolant,
    174: () => celsius,
    175: coolant,
    108: () => 98,
    171: () => celsius,
    172: () => celsius,
    168: (t) => {
      if (t >= crank && t < fire) return 10.4
      if (runs(t)) return 14.2
      return t >= lamp[0] && t < lamp[1] ? 11.8 : 12.7
    },
    158: (t) => (t < keyOff ? 12.6 : 0),
  }
}

/** The log of a run. */
export function printRun(run: MadeRun = {}): string {
  const instants = { ...USUAL, ...run.instants }
  const { sa = 0, channel = 'can0', celsius = 20, silent = [], without = [] } = run
  const signals: Record<number, ValueAt | number | null> = { ...healthySignals(instants, celsius), ...run.signals }
  const frames: LogFrame[] = []
  for (const [index, [pgn, usual, spns]] of GROUPS.entries()) {
    const group = findGroup(pgn)
    if (group === undefined || without.includes(pgn)) continue
    const period = (run.periods?.[pgn] ?? usual) / 1000
    const present = spns.filter((spn) => signals[spn] !== null && signals[spn] !== undefined)
    if (present.length === 0) continue
    // Each group a little later than the one before, as on a real bus.
    for (let n = 0; n * period + 0.05 + index * 0.0006 < instants.end; n++) {
      const t = n * period + 0.05 + index * 0.0006
      if (silent.some(([from, to]) => t >= from && t < to)) continue
      const values: Record<number, SignalInput> = {}
      for (const spn of present) {
        const signal = signals[spn]
        const value = typeof signal === 'function' ? signal(t) : signal
        if (value !== undefined && value !== null) values[spn] = value
      }
      const data = hexOf(encodeGroup(group, values))
      frames.push({ time: KEY_ON + Math.round(t * 1e6), channel, pgn, sa, data })
    }
  }
  for (const { at, ...frame } of run.others ?? []) frames.push({ ...frame, time: KEY_ON + Math.round(at * 1e6) })
  return printLog(frames.sort((a, b) => a.time - b.time))
}

/** The recording of one or several runs side by side. */
export function openRun(...runs: readonly MadeRun[]): Promise<Recording> {
  const lines = (runs.length === 0 ? [{}] : runs).flatMap((run) => printRun(run).split('\n').filter(Boolean))
  return openRecording(
    utf8(
      lines
        .sort()
        .map((line) => `${line}\n`)
        .join(''),
    ),
    { summary: true },
  )
}
