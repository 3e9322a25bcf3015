/** Diagnostic messages that are neither fault lists nor clear commands, for people: the latest of each. */
import { type DiagnosticReport, diagnosticGroup } from '@firstcrank/decoder'
import { diagnosticLines } from './diagnostic-text.js'
import type { FaultReport } from './fault-report.js'
import { destinationText, nodeText } from './names.js'
import { count, plural, wrap } from './text.js'
import { secondsText } from './time.js'

/** Messages shown. Common practice: what is beyond a few pages is looked up in the JSON. */
const SHOWN = 24

/** A section of its own; nothing where there are none. */
export function reportsText(report: FaultReport): string[] {
  const { reports, reportsDropped } = report.summary
  const latest = new Map<string, DiagnosticReport>()
  for (const one of reports) {
    const key = [one.channel, one.sa, one.da, one.pgn].join()
    const known = latest.get(key)
    if (known === undefined || one.lastTime >= known.lastTime) latest.set(key, one)
  }
  if (latest.size === 0) return []
  const shown = [...latest.values()].slice(0, SHOWN)
  const earlier = reports.length - shown.length
  const notes = [
    ...(earlier > 0 ? [`${plural(earlier, 'more message')} of other content; --format json has all.`] : []),
    ...(reportsDropped > 0 ? [`What ${count(reportsDropped)} further messages said was not kept.`] : []),
  ]
  return [
    '',
    'Other diagnostic messages, the latest of each',
    ...shown.flatMap((one) => reportText(one, report)),
    ...(notes.length === 0 ? [] : ['', ...wrap(notes.join(' '), '  ')]),
  ]
}

function reportText({ channel, sa, da, pgn, lastTime, says }: DiagnosticReport, report: FaultReport): string[] {
  const { start, own, nameOf, where } = report
  const way = `${nodeText(sa, nameOf(channel, sa))} to ${destinationText(da, nameOf(channel, da))}${where(channel)}`
  const title = `DM${says.dm}, ${diagnosticGroup(pgn)?.purpose ?? ''}: ${way}, ${secondsText(lastTime - start)}`
  return ['', ...wrap(title, '  '), ...diagnosticLines(says, own)]
}
