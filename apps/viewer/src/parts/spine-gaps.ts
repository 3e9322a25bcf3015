/** Gaps of the log and restarts of controllers along the time axis. Pure. */
import { formatDuration, formatTime } from '../state/time.js'
import { text } from '../words/text.js'
import type { SheetFacts } from './model.js'

/** A stretch of the axis, in seconds, and what it is. */
export interface SpineGap {
  readonly from: number
  readonly to: number
  readonly words: string
}

/** Checks of the bus whose evidence is a stretch of silence. */
const RESTARTS = 'controller-reset'
const SILENCE = 'bus-silence'

/** Stretches in which nothing was recorded, the clock jumped, or every node was silent; in order of time. */
export function gapsOf(facts: Pick<SheetFacts, 'info' | 'report' | 'zero'>): readonly SpineGap[] {
  const { holes, jumps } = facts.info.clock
  const gap = ({ from, to }: { readonly from: number; readonly to: number }, words: (length: string) => string) =>
    placed(facts, from, to, words(formatDuration((to - from) / 1e6)))
  return [
    ...holes.kept.map((hole) => gap(hole, text.spine.hole)),
    ...jumps.kept.map((jump) => gap(jump, text.spine.jump)),
    ...seenBy(facts, SILENCE),
  ].sort((a, b) => a.from - b.from)
}

/** Controllers that claimed their address anew with the key on. */
export function resetsOf(facts: Pick<SheetFacts, 'report' | 'zero'>): readonly SpineGap[] {
  return seenBy(facts, RESTARTS)
}

function seenBy(facts: Pick<SheetFacts, 'report' | 'zero'>, id: string): readonly SpineGap[] {
  const check = facts.report?.bus.find((candidate) => candidate.id === id)
  if (check === undefined || (check.verdict !== 'fail' && check.verdict !== 'caution')) return []
  return check.evidence.map(({ from, to, text: words }) => placed(facts, from, to, words))
}

function placed({ zero }: Pick<SheetFacts, 'zero'>, from: number, to: number, words: string): SpineGap {
  const start = (from - zero) / 1e6
  return { from: start, to: (to - zero) / 1e6, words: `${formatTime(start)}: ${words}` }
}
