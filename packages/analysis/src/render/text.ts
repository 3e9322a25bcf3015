/**
 * The report for a terminal: plain text, no colour, lines of 80 characters or as many as asked for. The verdict and its four answers come first, then what to do, then the evidence.
 */

import { MANUAL_STAGES } from '../manual-checks.js'
import type { CheckResult, Evidence, FaultGroup, Step } from '../model.js'
import type { EngineReport, Finding, ManualStage, Report } from '../report.js'
import { KEY_WORDS } from '../step-words.js'
import { type RenderOptions, UNIT_WORD, Values } from './values.js'
import {
  BASIS_WORDS,
  byJudged,
  cautionTexts,
  checkTitles,
  faultWords,
  freshCautions,
  HEADINGS,
  LIMITS_INTRODUCTION,
  MANUAL_INTRODUCTION,
  NOTHING_NEXT,
  openWords,
  ownerOf,
  PHASE_WORDS,
  profileWords,
  recordingWords,
  TITLE,
  URGENCY_WORDS,
  VERDICT_WORDS,
} from './words.js'

/** Characters in a line, where nobody says. */
const WIDTH = 80
/** Pieces of evidence shown for one statement; JSON holds all. */
const SHOWN = 4

/** The report as text, with a newline at its end. */
export function renderText(report: Report, options: RenderOptions = {}): string {
  const { width = WIDTH } = options
  const page: Page = {
    values: new Values(report.recording, options),
    wrap: (text, first, others) => wrapped(text, first, others, width),
  }
  const parts = [
    summary(report, page),
    next(report, page),
    found(report, page),
    ...report.engines.map((engine) => engineChecks(engine, page)),
    checkTable(HEADINGS.bus, report.bus, page),
    open(report, page),
    faults(report, page),
    gauge(report, page),
    ...report.engines.map((engine) => phases(engine, page)),
    manual(report, page),
    limits(report, page),
    cautions(report, page),
  ]
  return `${parts
    .filter((lines) => lines.length > 0)
    .map((lines) => lines.join('\n'))
    .join('\n\n')}\n`
}

/** What every part of the report is written with. */
interface Page {
  readonly values: Values
  /** Words in lines, the first behind one indent and the others behind another. */
  readonly wrap: (text: string, first: string, others: string) => string[]
}

/** The five lines that answer everything at once. */
function summary({ recording, conclusion, profile }: Report, { values, wrap }: Page): string[] {
  const name = recording.name === null ? '' : `: ${recording.name}`
  const width = Math.max(...conclusion.answers.map(({ question }) => question.length)) + 2
  const date = values.date(recording.from)
  const facts = [
    recordingWords(recording),
    ...(date === null ? [] : [`from ${date}`]),
    `${values.length(recording)} long`,
  ]
  return [
    `${TITLE}${name}`,
    '',
    ...wrap(values.sentence(conclusion.verdict), '', ''),
    ...conclusion.answers.flatMap(({ question, answer }) =>
      wrap(values.sentence(answer), question.padEnd(width), ' '.repeat(width)),
    ),
    '',
    ...wrap(`${facts.join('; ')}.`, '', ''),
    ...wrap(profileWords(profile), '', ''),
  ]
}

function next(report: Report, { values, wrap }: Page): string[] {
  const { next } = report
  if (next.length === 0) return [...heading(HEADINGS.next), ...wrap(NOTHING_NEXT, '  ', '  ')]
  const lines = freshCautions(next).flatMap(({ row: step, fresh }, index) => {
    const number = `${String(index + 1).padStart(3)}. [ ] `
    const indent = ' '.repeat(number.length)
    const warnings = cautionTexts(report.cautions, fresh).flatMap((text) =>
      wrap(values.sentence(text), `${indent}! `, `${indent}  `),
    )
    return [...warnings, ...wrap(values.sentence(stepWords(step)), number, indent)]
  })
  return [...heading(HEADINGS.next), ...lines]
}

function stepWords({ key, text, tool }: Step): string {
  const condition = KEY_WORDS[key]
  return `${condition === '' ? '' : `${condition}: `}${text}${tool === null ? '' : ` (${tool})`}`
}

function found(report: Report, page: Page): string[] {
  const { findings } = report
  if (findings.length === 0) return []
  return [
    ...heading(HEADINGS.found),
    ...findings.flatMap((finding, index) => [...(index > 0 ? [''] : []), ...findingLines(finding, report, page)]),
  ]
}

function findingLines(finding: Finding, report: Report, page: Page): string[] {
  const { values, wrap } = page
  const { urgency, title, text, faults, checks, kind, evidence, against } = finding
  const label = `  ${URGENCY_WORDS[urgency].padEnd(9)}`
  const indent = ' '.repeat(label.length)
  const seen = [
    ...(faults.length === 0 ? [] : [`Faults: ${faults.map((fault) => faultWords(fault, values)).join('; ')}.`]),
    ...(checks.length === 0 || kind !== 'cause' ? [] : [`Checks that show it: ${checkTitles(report, checks)}.`]),
  ]
  return [
    ...wrap(values.sentence(title), label, indent),
    ...wrap(values.sentence(text), indent, indent),
    ...seen.flatMap((line) => wrap(line, indent, indent)),
    ...evidenceLines(evidence, page, `${indent}+ `),
    ...evidenceLines(against, page, `${indent}− `),
  ]
}

function evidenceLines(evidence: readonly Evidence[], { values, wrap }: Page, mark: string): string[] {
  const indent = ' '.repeat(mark.length)
  const shown = evidence
    .slice(0, SHOWN)
    .flatMap((item) => wrap(`${values.span(item)}  ${values.sentence(item.text)}`, mark, indent))
  return evidence.length > SHOWN ? [...shown, `${indent}and ${evidence.length - SHOWN} more`] : shown
}

function engineChecks({ title, checks }: EngineReport, page: Page): string[] {
  return checkTable(`${HEADINGS.checks}: ${title}`, checks, page)
}

function checkTable(title: string, checks: readonly CheckResult[], { values, wrap }: Page): string[] {
  const { judged } = byJudged(checks)
  if (judged.length === 0) return []
  const lines = judged.flatMap((check) => {
    const label = `  ${VERDICT_WORDS[check.verdict].padEnd(9)}`
    const indent = ' '.repeat(label.length)
    const range = values.passRange(check.limits)
    const passes = range === '' ? '' : ` (pass: ${range})`
    const measured = check.measured === null ? '' : `: ${values.measure(check.measured)}${passes}`
    const first = wrap(`${check.title}${measured}`, label, indent)
    const isPlain = check.verdict === 'pass' && (check.measured === null || range !== '')
    return isPlain ? first : [...first, ...wrap(values.sentence(check.finding), indent, indent)]
  })
  return [...heading(title), ...lines]
}

function open({ engines, bus }: Report, { values, wrap }: Page): string[] {
  const { open: left } = byJudged([...engines.flatMap(({ checks }) => checks), ...bus])
  if (left.length === 0) return []
  const lines = left.flatMap((check) => {
    const { why, instead } = openWords(check)
    return [
      ...wrap(`${check.title}: ${values.sentence(why)}`, '  ', '      '),
      ...wrap(values.sentence(`Instead: ${instead}`), '      ', '      '),
    ]
  })
  return [...heading(HEADINGS.open), ...lines]
}

function faults({ faults: groups }: Report, page: Page): string[] {
  const reported = groups.filter((group) => group.faults.length > 0)
  if (reported.length === 0) return []
  const lines = reported.flatMap((group, index) => [...(index > 0 ? [''] : []), ...groupLines(group, page)])
  return [...heading(HEADINGS.faults), ...lines]
}

function groupLines({ faults: list, causes }: FaultGroup, { values, wrap }: Page): string[] {
  const listed = list.flatMap((fault) => {
    const { name, meaning, about, follows, onset, supports, contradicts } = fault
    const after = follows === null ? '' : ` It probably follows from SPN ${follows.spn} FMI ${follows.fmi}.`
    return [
      ...wrap(`${faultWords(fault, values)}: ${name}`, '  ', '      '),
      ...wrap(
        values.sentence(`${meaning} ${about ?? ''} First seen at ${values.time(onset.time)}.${after}`),
        '      ',
        '      ',
      ),
      ...supports.slice(0, SHOWN).flatMap((fact) => wrap(values.sentence(fact.text), '      + ', '        ')),
      ...contradicts.slice(0, SHOWN).flatMap((fact) => wrap(values.sentence(fact.text), '      − ', '        ')),
    ]
  })
  const ranked = causes.flatMap(({ title, confidence, supported }, index) =>
    wrap(`${index + 1}. ${title} (${confidence}, ${supported.facts} of ${supported.of} facts)`, '    ', '       '),
  )
  return [...listed, '    What may be behind it, the likeliest first:', ...ranked]
}

function gauge({ gauge: views }: Report, { values, wrap }: Page): string[] {
  if (views.length === 0) return []
  const lines = views.flatMap(({ vitals, reasons, expects }) => {
    const shown = vitals.filter((vital) => vital.shown === 'value').map(({ title }) => title.toLowerCase())
    const rest = vitals.filter((vital) => vital.shown !== 'value')
    return [
      ...wrap(`A gauge that listens to address ${expects} shows: ${shown.join(', ') || 'nothing'}.`, '  ', '  '),
      ...rest.flatMap(({ title, text }) => wrap(`${title}: ${values.sentence(text)}`, '  - ', '    ')),
      ...reasons.flatMap(({ text, advice }) => wrap(values.sentence(`${text} ${advice}`), '  ! ', '    ')),
    ]
  })
  return [...heading(HEADINGS.gauge), ...lines]
}

function phases({ title, phases: list }: EngineReport, { values }: Page): string[] {
  if (list.length === 0) return []
  const lines = list.map(({ kind, basis, attempt, ...span }) => {
    const tried = attempt === undefined ? '' : `, attempt ${attempt.number}${attempt.started ? '' : ': did not start'}`
    return `  ${values.span(span).padEnd(22)}${PHASE_WORDS[kind]}${tried} (${BASIS_WORDS[basis]})`
  })
  return [...heading(`${HEADINGS.pictures}: ${title}`), ...lines]
}

function manual(report: Report, { wrap, values }: Page): string[] {
  const told = new Set<string>()
  const stages = Object.entries(MANUAL_STAGES) as [ManualStage, string][]
  const lines = stages.flatMap(([stage, title]) => {
    const rows = report.manual.filter((row) => row.stage === stage)
    if (rows.length === 0) return []
    return [
      '',
      `  ${title}`,
      ...freshCautions(rows, told).flatMap(({ row: { text, tool, because }, fresh }) => {
        const warnings = cautionTexts(report.cautions, fresh).flatMap((caution) =>
          wrap(values.sentence(caution), '      ! ', '        '),
        )
        const why = because.length === 0 ? '' : ` See: ${checkTitles(report, because)}.`
        return [...warnings, ...wrap(`${text}${tool === null ? '' : ` (${tool})`}${why}`, '  [ ] ', '      ')]
      }),
    ]
  })
  return [...heading(HEADINGS.manual), ...wrap(MANUAL_INTRODUCTION, '  ', '  '), ...lines]
}

function limits({ limits: used }: Report, { values, wrap }: Page): string[] {
  if (used.length === 0) return []
  const owners = [...new Set(used.map(ownerOf))]
  const lines = owners.flatMap((owner) => {
    const figures = used
      .filter((limit) => ownerOf(limit) === owner)
      .map((limit) => `${limit.id} ${values.limit(limit)}`)
    return wrap(`${owner}: ${figures.join('; ')}`, '  ', '      ')
  })
  return [...heading(HEADINGS.limits), ...wrap(LIMITS_INTRODUCTION, '  ', '  '), ...lines]
}

function cautions({ cautions: list }: Report, { wrap }: Page): string[] {
  if (list.length === 0) return []
  return [...heading(HEADINGS.cautions), ...list.flatMap(({ text }) => wrap(text, '  ! ', '    '))]
}

/** A heading, and a line under it. */
export function heading(text: string): string[] {
  return [text.toUpperCase(), '─'.repeat([...text].length)]
}

/** A blank where a line may be broken: not between a number and its unit. */
const BREAK = new RegExp(`\\s+(?!${UNIT_WORD})|(?<!\\d)\\s+`)

/** Words in lines of at most so many characters; a longer word stands alone. */
export function wrapped(text: string, first: string, others: string, width: number): string[] {
  const lines: string[] = []
  let line = first
  let begun = false
  for (const word of text.split(BREAK).filter((part) => part !== '')) {
    if (begun && [...line].length + 1 + [...word].length > width) {
      lines.push(line)
      line = others
      begun = false
    }
    line += begun ? ` ${word}` : word
    begun = true
  }
  return [...lines, line]
}
