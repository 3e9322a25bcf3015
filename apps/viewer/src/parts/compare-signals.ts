/** The same signal of two runs, and which of them answer a question. */
import type { RecordingInfo, SignalInfo } from '@firstcrank/feed'
import { bestSignal } from '../recording/signals.js'
import type { CompareSides } from './compare-model.js'
import { PRESETS, type PresetId } from './presets.js'

/** A signal in both runs, or in one of them; interfaces may have other names in the other run. */
export interface SignalPair {
  /** As in an address: source address, PGN, SPN, instance where there is one. */
  readonly key: string
  readonly before: SignalInfo | null
  readonly after: SignalInfo | null
}

/** Key of a signal, whatever its interface. */
export function pairKey({ sa, pgn, spn, instance }: SignalInfo): string {
  return `${sa}.${pgn}.${spn}${instance === undefined ? '' : `.${instance}`}`
}

/** Signals of a preset, each for itself, and the titles of what is in neither run. */
export function presetPairs(
  preset: PresetId,
  sides: CompareSides,
): { readonly pairs: readonly SignalPair[]; readonly missing: readonly string[] } {
  const missing: string[] = []
  const pairs = PRESETS[preset].flatMap(({ title, lines }) => {
    const found = (lines as readonly (readonly number[])[]).flatMap((choice) => firstOf(choice, sides) ?? [])
    if (found.length === 0) missing.push(title)
    return found
  })
  return { pairs, missing }
}

/** The signals an address names; those of neither run are left out. */
export function keyedPairs(keys: readonly string[], { before, after }: CompareSides): readonly SignalPair[] {
  return keys.flatMap((key): SignalPair[] => {
    const [was, is] = [withKey(before.model.info, key), withKey(after.model.info, key)]
    return was === null && is === null ? [] : [{ key, before: was, after: is }]
  })
}

/** Every signal of both runs, those of the run after first: to be searched. */
export function allSignals({ before, after }: CompareSides): readonly SignalInfo[] {
  const known = new Set(after.model.info.signals.map(pairKey))
  return [...after.model.info.signals, ...before.model.info.signals.filter((signal) => !known.has(pairKey(signal)))]
}

function firstOf(choice: readonly number[], { before, after }: CompareSides): SignalPair | undefined {
  for (const spn of choice) {
    const [was, is] = [before, after].map(({ model }) => {
      const found = bestSignal(model.info.signals, spn)
      return found?.valid ? found : null
    })
    const named = is ?? was
    if (named != null) return { key: pairKey(named), before: was ?? null, after: is ?? null }
  }
  return undefined
}

function withKey(info: RecordingInfo, key: string): SignalInfo | null {
  return info.signals
    .filter((signal) => pairKey(signal) === key)
    .reduce<SignalInfo | null>((most, next) => (most === null || next.count > most.count ? next : most), null)
}
