/** What the bus itself was like: one result for each check of the table, as for the engine's checks. */
import type { LogSummary, Recording } from '@firstcrank/decoder'
import type { EnginePhases } from './bus/awake.js'
import { type BusCheck, busContext, resultOf } from './bus/context.js'
import { ERROR_FRAMES } from './bus/error-frames.js'
import { ADDRESSES, BUS_LOAD, LATE_MESSAGES, LONG_MESSAGES } from './bus/order.js'
import { BUS_SILENCE, MISSING_MESSAGES, NODES_PRESENT, RECORDER_HOLES, RESTARTS } from './bus/presence.js'
import type { Limits } from './limits.js'
import type { CheckResult } from './model.js'

/** Every check about the bus, in the order they are shown. */
export const BUS_CHECKS: readonly BusCheck[] = [
  RESTARTS,
  BUS_SILENCE,
  NODES_PRESENT,
  MISSING_MESSAGES,
  ADDRESSES,
  ERROR_FRAMES,
  LONG_MESSAGES,
  LATE_MESSAGES,
  BUS_LOAD,
  RECORDER_HOLES,
]

/**
 * Judges the bus.
 *
 * @param engines with their phases: they tell when the key was on; may be empty
 * @param expected nodes a profile asks for
 */
export function findBus(
  recording: Recording,
  summary: LogSummary,
  engines: readonly EnginePhases[],
  limits: Limits,
  expected: readonly { readonly sa: number; readonly name: string }[] = [],
): readonly CheckResult[] {
  const bus = busContext(recording, summary, engines, limits, expected)
  return BUS_CHECKS.map((check) => resultOf(check, bus))
}
