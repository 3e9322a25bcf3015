/** Diagnostic reports of a recording → {@link ReportInfo}. */
import {
  type BusDecoder,
  type DiagnosticReport,
  diagnosticGroup,
  fmiDefinition,
  type ReportPart,
  type ReportLine as ReportWords,
  reportParts,
} from '@firstcrank/decoder'
import { faultName } from '@firstcrank/decoder/catalog'
import type { RecordingInfo, ReportInfo, ReportLine } from './recording-info.js'

/** Characters of all words together: far more than anybody reads on a page. Our own choice. */
const MAX_CHARACTERS = 250_000

/** What nodes reported, each content once, in order of its first time; and how many messages said what is not told. */
export function describeReports(
  { reports }: Pick<BusDecoder, 'reports'>,
  channel: (number: number) => string,
): Pick<RecordingInfo, 'reports' | 'reportsDropped'> {
  const told: ReportInfo[] = []
  const all = reports.list()
  let characters = 0
  for (const report of all) {
    const described = describeReport(report, channel(report.channel))
    characters += charactersOf(described)
    if (characters > MAX_CHARACTERS) break
    told.push(described)
  }
  const untold = all.slice(told.length).reduce((sum, { count }) => sum + count, 0)
  return { reports: told, reportsDropped: reports.dropped + untold }
}

function describeReport({ says, ...report }: DiagnosticReport, channel: string): ReportInfo {
  const { sa, da, pgn, firstTime, lastTime, count } = report
  const name = diagnosticGroup(pgn)?.purpose ?? ''
  const parts = reportParts(says).map(describePart)
  return { channel, sa, da, pgn, dm: says.dm, name, kind: says.kind, firstTime, lastTime, count, parts }
}

function describePart({ fault, lines }: ReportPart): ReportInfo['parts'][number] {
  return {
    fault: fault && {
      spn: fault.spn,
      fmi: fault.fmi,
      name: faultName(fault.spn) ?? null,
      meaning: fmiDefinition(fault.fmi)?.meaning ?? null,
      ambiguous: fault.ambiguous,
      count: fault.occurrenceCount,
    },
    lines: lines.map(describeLine),
  }
}

function describeLine({ label, spn, value }: ReportWords): ReportLine {
  if (typeof value === 'string') return { label, spn, value, status: 'valid', unit: null, resolution: null }
  const { status, unit, definition } = value
  const resolution = definition.kind === 'numeric' ? definition.resolution : null
  return { label, spn, value: value.value, status, unit: unit === 'count' ? null : unit, resolution }
}

function charactersOf({ name, parts }: ReportInfo): number {
  const lines = parts.flatMap((part) => part.lines)
  return lines.reduce((sum, { label, value }) => sum + label.length + `${value}`.length, name.length)
}
