/** The report as Markdown: for a ticket, a wiki, a mail. Tick boxes are task lists. */
import { MANUAL_STAGES } from '../manual-checks.js'
import type { CheckResult, FaultGroup } from '../model.js'
import type { Finding, ManualStage, Report } from '../report.js'
import { KEY_WORDS } from '../step-words.js'
import { escapeMarkdown } from './markup.js'
import { limitTitle, type RenderOptions, Values } from './values.js'
import {
  BASIS_WORDS,
  byJudged,
  cautionTexts,
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

/** Pieces of evidence shown for one statement; JSON holds all. */
const SHOWN = 6

/** The report as Markdown, with a newline at its end. */
export function renderMarkdown(report: Report, options: RenderOptions = {}): string {
  const values = new Values(report.recording, options)
  const say = (text: string): string => escapeMarkdown(values.sentence(text))
  const parts = [
    summary(report, values, say),
    part(HEADINGS.next, next(report, say)),
    part(
      HEADINGS.found,
      report.findings.flatMap((finding) => findingLines(finding, values, say)),
    ),
    ...report.engines.map(({ title, checks }) => part(`${HEADINGS.checks}: ${title}`, checkTable(checks, values, say))),
    part(HEADINGS.bus, checkTable(report.bus, values, say)),
    part(HEADINGS.open, open(report, say)),
    part(
      HEADINGS.faults,
      report.faults.flatMap((group) => groupLines(group, values, say)),
    ),
    part(HEADINGS.gauge, gauge(report, say)),
    ...report.engines.map(({ title, phases }) =>
      part(
        `${HEADINGS.pictures}: ${title}`,
        table(
          ['Phase', 'When', 'How it is known'],
          phases.map(({ kind, basis, why, from, to }) => [
            PHASE_WORDS[kind],
            values.span({ from, to }),
            `${BASIS_WORDS[basis]}: ${say(why)}`,
          ]),
        ),
      ),
    ),
    part(HEADINGS.manual, manual(report, say)),
    part(HEADINGS.limits, limits(report, values)),
    part(
      HEADINGS.cautions,
      report.cautions.map(({ text }) => `- ${escapeMarkdown(text)}`),
    ),
  ]
  return `${parts.filter((text) => text !== '').join('\n\n')}\n`
}

type Say = (text: string) => string

function part(title: string, lines: readonly string[]): string {
  return lines.length === 0 ? '' : `## ${escapeMarkdown(title)}\n\n${lines.join('\n')}`
}

function summary({ recording, conclusion, profile }: Report, values: Values, say: Say): string {
  const name = recording.name === null ? '' : `: ${escapeMarkdown(recording.name)}`
  const date = values.date(recording.from)
  const facts = [
    recordingWords(recording),
    ...(date === null ? [] : [`from ${date}`]),
    `${values.length(recording)} long`,
  ]
  return [
    `# ${TITLE}${name}`,
    '',
    `**${say(conclusion.verdict)}**`,
    '',
    ...conclusion.answers.map(({ question, answer }) => `- **${question}** ${say(answer)}`),
    '',
    `${escapeMarkdown(facts.join('; '))}. ${escapeMarkdown(profileWords(profile))}`,
  ].join('\n')
}

function next({ next: steps, cautions }: Report, say: Say): string[] {
  if (steps.length === 0) return [NOTHING_NEXT]
  return freshCautions(steps).flatMap(({ row: { key, text, tool }, fresh }, index) => {
    const condition = KEY_WORDS[key] === '' ? '' : `*${KEY_WORDS[key]}:* `
    const using = tool === null ? '' : ` (${escapeMarkdown(tool)})`
    return [...carefulWords(cautions, fresh, say), `${index + 1}. [ ] ${condition}${say(text)}${using}`]
  })
}

/** Cautions as quotations of their own, before what they are for. */
function carefulWords(cautions: Report['cautions'], names: readonly string[], say: Say): string[] {
  return cautionTexts(cautions, names).flatMap((note) => ['', `> **Careful:** ${say(note)}`, ''])
}

function findingLines(
  { urgency, title, text, faults, evidence, against }: Finding,
  values: Values,
  say: Say,
): string[] {
  return [
    `### ${URGENCY_WORDS[urgency]}: ${say(title)}`,
    '',
    say(text),
    ...(faults.length === 0
      ? []
      : ['', `Faults: ${escapeMarkdown(faults.map((fault) => faultWords(fault, values)).join('; '))}.`]),
    '',
    ...evidence.slice(0, SHOWN).map((item) => `- ${values.span(item)}: ${say(item.text)}`),
    ...against.slice(0, SHOWN).map((item) => `- against it, ${values.span(item)}: ${say(item.text)}`),
    '',
  ]
}

function checkTable(checks: readonly CheckResult[], values: Values, say: Say): string[] {
  const { judged } = byJudged(checks)
  return table(
    ['Check', 'Result', 'Measured', 'To pass', 'What was found'],
    judged.map(({ title, verdict, measured, limits: used, finding, advice }) => [
      escapeMarkdown(title),
      verdict === 'pass' ? VERDICT_WORDS[verdict] : `**${VERDICT_WORDS[verdict]}**`,
      measured === null ? '' : values.measure(measured),
      measured === null ? '' : values.passRange(used),
      say(verdict === 'pass' ? finding : `${finding} ${advice}`),
    ]),
  )
}

function open({ engines, bus }: Report, say: Say): string[] {
  const { open: left } = byJudged([...engines.flatMap(({ checks }) => checks), ...bus])
  return table(
    ['Check', 'Why not', 'Instead'],
    left.map((check) => {
      const { why, instead } = openWords(check)
      return [escapeMarkdown(check.title), say(why), say(instead)]
    }),
  )
}

function groupLines({ faults, causes }: FaultGroup, values: Values, say: Say): string[] {
  if (faults.length === 0) return []
  const listed = faults.flatMap((fault) => {
    const { name, meaning, about, onset, supports, contradicts } = fault
    return [
      `### ${escapeMarkdown(`${faultWords(fault, values)}: ${name}`)}`,
      '',
      say(`${meaning} ${about ?? ''} First seen at ${values.time(onset.time)}.`),
      '',
      ...supports.slice(0, SHOWN).map(({ text }) => `- for it: ${say(text)}`),
      ...contradicts.slice(0, SHOWN).map(({ text }) => `- against it: ${say(text)}`),
      '',
    ]
  })
  const ranked = causes.map(({ title, confidence, supported }, index) => [
    `${index + 1}. ${escapeMarkdown(title)}`,
    confidence,
    `${supported.facts} of ${supported.of}`,
  ])
  return [...listed, ...table(['Cause', 'How sure', 'Facts'], ranked), '']
}

function gauge({ gauge: views }: Report, say: Say): string[] {
  return views.flatMap(({ expects, vitals, reasons }) => {
    const shown = vitals.filter((vital) => vital.shown === 'value').map(({ title }) => title.toLowerCase())
    const rest = vitals.filter((vital) => vital.shown !== 'value')
    return [
      `A gauge that listens to address ${expects} shows: ${escapeMarkdown(shown.join(', ') || 'nothing')}.`,
      '',
      ...rest.map(({ title, text }) => `- ${escapeMarkdown(title)}: ${say(text)}`),
      ...reasons.map(({ text, advice }) => `- ${say(`${text} ${advice}`)}`),
    ]
  })
}

function manual({ manual: list, cautions }: Report, say: Say): string[] {
  const told = new Set<string>()
  const stages = (Object.entries(MANUAL_STAGES) as [ManualStage, string][]).flatMap(([stage, title]) => {
    const rows = list.filter((candidate) => candidate.stage === stage)
    if (rows.length === 0) return []
    const items = freshCautions(rows, told).flatMap(({ row: { text, tool }, fresh }) => [
      ...carefulWords(cautions, fresh, say),
      `- [ ] ${escapeMarkdown(text)}${tool === null ? '' : ` (${escapeMarkdown(tool)})`}`,
    ])
    return [`### ${title}`, '', ...items, '']
  })
  return [MANUAL_INTRODUCTION, '', ...stages]
}

function limits({ limits: used }: Report, values: Values): string[] {
  if (used.length === 0) return []
  const rows = used.map((limit) => [
    escapeMarkdown(limitTitle(limit)),
    values.limit(limit),
    escapeMarkdown(ownerOf(limit)),
    `\`${limit.id}\``,
  ])
  return [LIMITS_INTRODUCTION, '', ...table(['Limit', 'Figure', 'Set by', 'Name'], rows)]
}

/** A table of cells that are Markdown already; no lines without rows. */
function table(columns: readonly string[], rows: readonly (readonly string[])[]): string[] {
  if (rows.length === 0) return []
  const line = (cells: readonly string[]): string => `| ${cells.join(' | ')} |`
  return [line(columns), line(columns.map(() => '---')), ...rows.map(line)]
}
