/** Whether a valve or flap follows: against its command, or against its own history. */
import { median, quantile, SECOND, valuesAt } from '../../series.js'
import { type FaultContext, RUNNING, STANDING } from '../context.js'
import { percent, type Sight, seconds, sight } from '../sight.js'

const POSITION = 27
const COMMAND = 2791
/** A healthy valve moves by more over a run with changing load, %. Source: our own choice. */
const MOVES = 4
/** A valve at rest is shut; some read a few percent then. %. Source: common practice. */
const SHUT = 12
const LONG_ENOUGH = 30 * SECOND

/** `valve-does-not-follow`: the exhaust gas valve stays where it is. */
export function egrDoesNotFollow(context: FaultContext): Sight | null {
  const spans = context.during([...STANDING, 'cranking', ...RUNNING])
  const position = context.inside(context.valid(POSITION), spans)
  if (position.time.length === 0) return null
  const refs = [context.ref(POSITION), context.ref(COMMAND), context.ref(92)]
  const span = { from: position.time[0] as number, to: position.time.at(-1) as number }
  const command = context.valid(COMMAND)
  let off: number | null = null
  if (command.time.length > 0) {
    const hold = Math.max(SECOND, context.engine?.hold(COMMAND) ?? 0)
    const wanted = valuesAt(command, position.time, hold)
    off = median(position.value.map((value, i) => Math.abs(value - (wanted[i] as number))))
  }
  if (off !== null) {
    const limit = context.limits['egr-position.caution-to'].value
    return sight(
      off > limit,
      `The exhaust gas valve is ${percent(off)} away from its command most of the time.`,
      span,
      refs,
    )
  }
  const low = quantile(position.value, 0.02)
  const high = quantile(position.value, 0.98)
  if (low === null || high === null || span.to - span.from < LONG_ENOUGH) return null
  if (high - low < MOVES && low > SHUT) {
    return sight(
      true,
      `The exhaust gas valve stays at ${percent((low + high) / 2)} for ${seconds(span.to - span.from)}, standing, cranking, idling and under load; at rest it should be shut.`,
      span,
      refs,
    )
  }
  return high - low >= MOVES
    ? sight(false, `The exhaust gas valve moves between ${percent(low)} and ${percent(high)}.`, span, refs)
    : null
}
