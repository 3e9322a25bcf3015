/** What a derived signal is: a formula over signals of the bus, with its unit, in one row of a table. */
import type { Samples } from '@firstcrank/decoder'
import type { Unit } from '@firstcrank/decoder/catalog'
import type { EngineView } from '../engine-view.js'
import type { Per, Phase, SignalRef } from '../model.js'
import type { Profile } from '../profile.js'

/** What a derived signal is computed from. */
export interface DerivedContext {
  readonly engine: EngineView
  readonly phases: readonly Phase[]
  readonly profile: Profile
}

/** One derived signal. */
export interface DerivedDefinition {
  /** Stable name, such as `air-mass-ratio`. */
  readonly id: string
  readonly title: string
  readonly unit: Unit
  readonly per?: Per
  /** In the symbols of `docs/derived-signals.md`, where it is repeated word for word. */
  readonly formula: string
  /** SPNs it uses where they are there. */
  readonly spns: readonly number[]
  /** Its samples; undefined where something it needs is missing. */
  compute(context: DerivedContext): Samples | undefined
}

/** A derived signal of one engine. */
export interface Derived {
  readonly definition: DerivedDefinition
  readonly samples: Samples
  /** What it was computed from. */
  readonly signals: readonly SignalRef[]
}

/** Computes one; undefined where something it needs is missing or it never has a value. */
export function computeDerived(definition: DerivedDefinition, context: DerivedContext): Derived | undefined {
  const samples = definition.compute(context)
  if (samples?.value.some((value) => !Number.isNaN(value)) !== true) return undefined
  const signals = definition.spns
    .filter((spn) => context.engine.has(spn))
    .flatMap((spn) => context.engine.signalRef(spn) ?? [])
  return { definition, samples, signals }
}
