/** Stretches in which a signal stood still: for checks that compare two signals. */
import type { Span } from '../model.js'
import { SECOND, windowOf } from '../series.js'
import type { CheckContext } from './context.js'

/**
 * Windows of `seconds` in which a signal moved by no more than `tolerance`, one after the other. A silence
 * of more than three periods ends one.
 */
export function steadyWindows(
  context: CheckContext,
  spn: number,
  span: Span,
  seconds: number,
  tolerance: number,
): Span[] {
  const { time, value } = windowOf(context.engine.valid(spn), span.from, span.to)
  const windows: Span[] = []
  let start = 0
  let low = Number.POSITIVE_INFINITY
  let high = Number.NEGATIVE_INFINITY
  for (let i = 0; i < value.length; i++) {
    const v = value[i] as number
    const isGap = i > 0 && (time[i] as number) - (time[i - 1] as number) > context.engine.hold(spn)
    if (isGap || Math.max(high, v) - Math.min(low, v) > tolerance) {
      start = i
      low = v
      high = v
      continue
    }
    low = Math.min(low, v)
    high = Math.max(high, v)
    if ((time[i] as number) - (time[start] as number) < seconds * SECOND) continue
    windows.push({ from: time[start] as number, to: time[i] as number })
    start = i + 1
    low = Number.POSITIVE_INFINITY
    high = Number.NEGATIVE_INFINITY
  }
  return windows
}
