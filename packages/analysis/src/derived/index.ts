/** Every derived signal. The formulas are explained in docs/derived-signals.md. */
import { AIR_SIGNALS } from './air.js'
import { computeDerived, type Derived, type DerivedContext, type DerivedDefinition } from './definition.js'
import { RUN_SIGNALS } from './run.js'

export { airDensity, speedDensity, standardPressure } from './atmosphere.js'
export type { Derived, DerivedContext, DerivedDefinition } from './definition.js'

/** The table. */
export const DERIVED_SIGNALS: readonly DerivedDefinition[] = [...AIR_SIGNALS, ...RUN_SIGNALS]

/** All derived signals an engine's recording allows, in the order of the table. */
export function deriveSignals(context: DerivedContext): Derived[] {
  return DERIVED_SIGNALS.flatMap((definition) => computeDerived(definition, context) ?? [])
}

/** The derived signal with a name; undefined where there is none or something it needs is missing. */
export function deriveSignal(id: string, context: DerivedContext): Derived | undefined {
  const definition = DERIVED_SIGNALS.find((row) => row.id === id)
  return definition && computeDerived(definition, context)
}
