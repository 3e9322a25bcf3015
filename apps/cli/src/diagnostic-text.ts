/** Diagnostic messages in words: lamps and trouble codes here, reports as the decoder words them. */
import {
  type DiagnosticMessage,
  type GroupDefinition,
  LAMPS,
  type LampStatus,
  problemLines,
  type ReportLine,
  reportParts,
  type TroubleCode,
} from '@firstcrank/decoder'
import { faultTitle, fmiMeaning, fmiPlain } from './names.js'
import { plainLines } from './plain.js'
import { listing, plural, wrap } from './text.js'
import { valueText } from './value-form.js'

/** How far lines below a message's name are indented. */
const INDENT = '    '

/** The lamps that are on, in words: `red stop lamp (fast flash)`. */
export function litLamps(lamps: LampStatus | undefined): string[] {
  if (lamps === undefined) return []
  return LAMPS.flatMap(({ key, name }) => {
    const { state, flash } = lamps[key]
    if (state !== 'on') return []
    return [flash === 'slow' || flash === 'fast' ? `${name} (${flash} flash)` : name]
  })
}

/**
 * What a diagnostic message says, below a line with its name.
 *
 * @param own definitions whose names come first
 */
export function diagnosticLines(diagnostic: DiagnosticMessage, own: readonly GroupDefinition[]): string[] {
  const problems = problemLines(diagnostic.problems).flatMap((line) => lineText(line, INDENT))
  switch (diagnostic.kind) {
    case 'fault-list': {
      const { state, lamps, faults } = diagnostic
      const lit = lamps === null ? [] : litLamps(lamps)
      return [
        ...wrap(`${state.replaceAll('-', ' ')} faults: ${faults.length === 0 ? 'none' : faults.length}.`, INDENT),
        ...wrap(`Lamps on: ${lit.length === 0 ? 'none' : listing(lit)}.`, INDENT),
        ...faults.flatMap((fault) => [
          ...wrap(`${troubleCodeText(fault, own)}.`, INDENT),
          ...wrap(fmiPlain(fault.fmi), `${INDENT}  `),
          ...(fault.ambiguous ? wrap(readingsText(fault), `${INDENT}  `) : []),
        ]),
        ...problems,
      ]
    }
    case 'clear':
    case 'individual-clear': {
      const { kind: _, dm: __, problems: ___, ...rest } = diagnostic
      return [...plainLines(rest, INDENT), ...problems]
    }
    default:
      return reportParts(diagnostic).flatMap(({ fault, lines }) =>
        fault === null ? lines.flatMap((line) => lineText(line, INDENT)) : frameLines(fault, lines, own),
      )
  }
}

/** What a report says, in one line. */
function lineText({ label, spn, value }: ReportLine, indent: string): string[] {
  const words = typeof value === 'string' ? value.replace(/\p{C}/gu, '\ufffd') : valueText(value)
  return wrap(`${label}${spn === null ? '' : ` (SPN ${spn})`}: ${words}`, indent)
}

function frameLines(fault: TroubleCode, lines: readonly ReportLine[], own: readonly GroupDefinition[]): string[] {
  return [
    ...wrap(`${troubleCodeText(fault, own)}. When it appeared:`, INDENT),
    ...(fault.ambiguous ? wrap(readingsText(fault), `${INDENT}  `) : []),
    ...lines.flatMap((line) => lineText(line, `${INDENT}  `)),
  ]
}

function troubleCodeText({ spn, fmi, occurrenceCount }: TroubleCode, own: readonly GroupDefinition[]): string {
  const times = occurrenceCount === null ? 'occurrences not counted' : plural(occurrenceCount, 'occurrence')
  return `SPN ${spn} FMI ${fmi}: ${faultTitle(spn, own)}: ${fmiMeaning(fmi)}; ${times}`
}

function readingsText({ readings }: TroubleCode): string {
  const others = readings.map((reading) => `SPN ${reading.spn} (version ${reading.version})`)
  return `Old way to write the SPN; it can be read as ${others.join(' or ')}.`
}
