/**
 * The report as one HTML file: no script, nothing fetched, pictures inline. It reads like a workshop's
 * test sheet on a screen and on paper, A4 or Letter. Tick boxes work as they are; nothing is stored.
 */
import { MANUAL_STAGES } from '../manual-checks.js'
import type { CheckResult, Verdict } from '../model.js'
import type { EngineReport, Figure, ManualStage, Report } from '../report.js'
import { caution, faultGroup, findingBlock, nextSteps } from './html-findings.js'
import { row, tableOf } from './html-table.js'
import { element, emptyElement, escapeHtml, textElement } from './markup.js'
import { STYLE } from './style.js'
import { figureSvg } from './svg.js'
import { limitTitle, type RenderOptions, UNIT_WORD, Values } from './values.js'
import {
  BASIS_WORDS,
  byJudged,
  checkTitles,
  freshCautions,
  HEADINGS,
  LIMITS_INTRODUCTION,
  MANUAL_INTRODUCTION,
  openWords,
  ownerOf,
  PHASE_WORDS,
  profileWords,
  recordingWords,
  TITLE,
  VERDICT_WORDS,
} from './words.js'

/** Of every document: nothing may be loaded from anywhere. */
export const POLICY: string = "default-src 'none'; style-src 'unsafe-inline'; form-action 'none'; base-uri 'none'"
/** Signs that say the same as the words beside them. */
const SIGNS: Readonly<Record<Verdict, string>> = { pass: '✓', caution: '!', fail: '✕', 'not-judged': '–' }

/** The report as a whole document. */
export function renderHtml(report: Report, options: RenderOptions = {}): string {
  const values = new Values(report.recording, options)
  const { name } = report.recording
  const head = [
    '<meta charset="utf-8">',
    emptyElement('meta', { name: 'viewport', content: 'width=device-width, initial-scale=1' }),
    emptyElement('meta', { 'http-equiv': 'Content-Security-Policy', content: POLICY }),
    textElement('title', {}, name === null ? TITLE : `${TITLE}: ${name}`),
    `<style>${STYLE}</style>`,
  ]
  const parts = [
    sheet(report, values),
    part(HEADINGS.next, nextSteps(report, values)),
    part(HEADINGS.found, report.findings.map((finding) => findingBlock(finding, report, values)).join('')),
    part(HEADINGS.pictures, report.engines.map((engine, index) => pictures(engine, index, report, values)).join('')),
    part(HEADINGS.checks, report.engines.map((engine) => checkTable(engine.title, engine.checks, values)).join('')),
    part(HEADINGS.bus, checkTable('What the bus itself was like', report.bus, values)),
    part(HEADINGS.open, open(report, values)),
    part(HEADINGS.faults, report.faults.map((group) => faultGroup(group, values)).join('')),
    part(HEADINGS.gauge, gauge(report, values)),
    part(HEADINGS.manual, manual(report)),
    part(HEADINGS.limits, limits(report, values)),
    part(HEADINGS.cautions, report.cautions.map(caution).join('')),
    signedOff(),
  ]
  return `<!DOCTYPE html>\n<html lang="en">\n<head>${head.join('\n')}</head>\n<body>\n<main>\n${keepUnits(parts.join('\n'))}\n</main>\n</body>\n</html>\n`
}

/** Markup in which no line ends between a number and its unit. */
function keepUnits(markup: string): string {
  return markup.replace(new RegExp(`(?<=\\d) (?=${UNIT_WORD})`, 'g'), '&nbsp;')
}

/** A part of the sheet; nothing where it has no content. */
function part(title: string, content: string): string {
  return content === '' ? '' : element('section', {}, textElement('h2', {}, title), content)
}

/** Head of the form: what was recorded, the verdict, the four answers. */
function sheet({ recording, conclusion, profile, engines, bus }: Report, values: Values): string {
  const fact = (term: string, text: string): string =>
    element('div', {}, textElement('dt', {}, term), textElement('dd', {}, text))
  const facts = [
    fact('Recording', recording.name ?? 'without a name'),
    fact('Began', values.date(recording.from) ?? 'undated'),
    fact('Length', values.length(recording)),
    fact('Engine', engines.map(({ title }) => title).join('; ') || 'none heard'),
    fact('On the bus', recordingWords(recording)),
    fact('Limits', profileWords(profile)),
  ]
  const all = [...engines.flatMap(({ checks }) => checks), ...bus]
  const tally = all.map(({ verdict, title }) =>
    element(
      'li',
      {},
      textElement(
        'span',
        { class: `sign ${verdict}`, title: `${title}: ${VERDICT_WORDS[verdict]}`, 'aria-hidden': 'true' },
        SIGNS[verdict],
      ),
    ),
  )
  const { counts, level, verdict, answers } = conclusion
  const words = `${counts.pass} passed, ${counts.caution} caution, ${counts.fail} failed, ${counts['not-judged']} not judged. One box for each check.`
  const rows = answers.map(({ question, answer }) =>
    element('div', {}, textElement('dt', {}, question), textElement('dd', {}, values.sentence(answer))),
  )
  return element(
    'div',
    { class: 'sheet' },
    element('header', {}, textElement('h1', {}, TITLE)),
    element('dl', { class: 'facts' }, ...facts),
    element(
      'div',
      { class: 'verdict', 'data-level': level },
      textElement('p', {}, values.sentence(verdict)),
      element('ul', { class: 'tally', 'aria-hidden': 'true' }, ...tally),
      textElement('small', {}, words),
    ),
    element('dl', { class: 'answers' }, ...rows),
  )
}

function pictures(
  { title, figures, phases }: EngineReport,
  index: number,
  { recording }: Report,
  values: Values,
): string {
  const drawn = figures.map((figure) => picture(figure, `figure-${index}-${figure.id}`, title, recording.from, values))
  const rows = phases.map(({ kind, attempt, basis, why, ...span }) => {
    const tried = attempt === undefined ? '' : `, attempt ${attempt.number}${attempt.started ? '' : ', did not start'}`
    return row([
      ['th', PHASE_WORDS[kind] + tried, {}],
      ['td', values.span(span), { class: 'number', 'data-label': 'When' }],
      ['td', `${BASIS_WORDS[basis]}: ${values.sentence(why)}`, { 'data-label': 'How it is known' }],
    ])
  })
  const table = phases.length === 0 ? '' : tableOf(`Phases: ${title}`, ['Phase', 'When', 'How it is known'], rows)
  return drawn.join('') + table
}

function picture(figure: Figure, id: string, engine: string, origin: number, values: Values): string {
  const missing =
    figure.missing.length === 0 ? '' : textElement('p', { class: 'quiet' }, `Not drawn: ${figure.missing.join('; ')}.`)
  const note = figure.plots.some(({ limits: marks }) => marks.length > 0)
    ? textElement(
        'p',
        { class: 'quiet' },
        'Short dashed lines between ticks are limits, drawn where they were applied.',
      )
    : ''
  return [
    textElement('h3', {}, `${figure.title}: ${engine}`),
    element(
      'div',
      { class: 'scroll', tabindex: 0, role: 'region', 'aria-label': figure.title },
      figureSvg(figure, id, origin, values),
    ),
    note,
    missing,
  ].join('')
}

function checkTable(title: string, checks: readonly CheckResult[], values: Values): string {
  const { judged } = byJudged(checks)
  if (judged.length === 0) return ''
  const rows = judged.map(({ title: name, verdict, measured, limits: used, finding, advice }) =>
    row([
      ['th', name, {}],
      ['td', '', { class: 'result' }, sign(verdict)],
      ['td', measured === null ? '' : values.measure(measured), { class: 'number', 'data-label': 'Measured' }],
      ['td', measured === null ? '' : values.passRange(used), { 'data-label': 'To pass' }],
      ['td', values.sentence(verdict === 'pass' ? finding : `${finding} ${advice}`), {}],
    ]),
  )
  return tableOf(title, ['Check', 'Result', 'Measured', 'To pass', 'What was found'], rows, 'checks')
}

function sign(verdict: Verdict): string {
  return `${textElement('span', { class: `sign ${verdict}`, 'aria-hidden': 'true' }, SIGNS[verdict])} ${VERDICT_WORDS[verdict]}`
}

function open({ engines, bus }: Report, values: Values): string {
  const { open: left } = byJudged([...engines.flatMap(({ checks }) => checks), ...bus])
  if (left.length === 0) return ''
  const rows = left.map((check) => {
    const { why, instead } = openWords(check)
    return row([
      ['th', check.title, {}],
      ['td', values.sentence(why), {}],
      ['td', values.sentence(instead), { 'data-label': 'Instead' }],
    ])
  })
  return tableOf('What had no signal, or never had its condition', ['Check', 'Why not', 'Instead'], rows)
}

function gauge({ gauge: views }: Report, values: Values): string {
  return views
    .map(({ expects, vitals, reasons }) => {
      const shown = vitals.filter((vital) => vital.shown === 'value').map(({ title }) => title.toLowerCase())
      const rows = vitals
        .filter((vital) => vital.shown !== 'value')
        .map(({ title, shown: how, text }) =>
          row([
            ['th', title, {}],
            ['td', how.replaceAll('-', ' '), { class: 'result' }],
            ['td', values.sentence(text), {}],
          ]),
        )
      const why = reasons.map(({ text, advice }) =>
        textElement('p', { class: 'careful' }, values.sentence(`${text} ${advice}`)),
      )
      const table =
        rows.length === 0 ? '' : tableOf('What it does not show, or not always', ['Figure', 'Instead', 'Why'], rows)
      const good = `A gauge that listens to address ${expects} shows: ${shown.join(', ') || 'nothing'}.`
      return textElement('p', {}, good) + table + why.join('')
    })
    .join('')
}

function manual(report: Report): string {
  const told = new Set<string>()
  const stages = (Object.entries(MANUAL_STAGES) as [ManualStage, string][]).map(([stage, title]) => {
    const rows = report.manual.filter((candidate) => candidate.stage === stage)
    const items = freshCautions(rows, told).map(({ row: { id, text, tool, because }, fresh }) => {
      const using = tool === null ? '' : ` ${textElement('span', { class: 'quiet' }, `(${tool})`)}`
      const why =
        because.length === 0
          ? ''
          : ` ${textElement('span', { class: 'quiet' }, `See: ${checkTitles(report, because)}.`)}`
      const box = emptyElement('input', { type: 'checkbox', id: `hand-${id}` })
      return element(
        'li',
        {},
        ...report.cautions.filter((candidate) => fresh.includes(candidate.id)).map(caution),
        element('label', { for: `hand-${id}` }, box, element('span', {}, escapeHtml(text), using, why)),
      )
    })
    return items.length === 0 ? '' : element('section', {}, textElement('h3', {}, title), element('ul', {}, ...items))
  })
  return textElement('p', {}, MANUAL_INTRODUCTION) + element('div', { class: 'manual' }, ...stages)
}

function limits({ limits: used }: Report, values: Values): string {
  if (used.length === 0) return ''
  const rows = used.map((limit) =>
    row([
      ['th', '', {}, escapeHtml(limitTitle(limit)) + textElement('small', {}, limit.id)],
      ['td', values.limit(limit), { class: 'number' }],
      ['td', ownerOf(limit), { 'data-label': 'Set by' }],
    ]),
  )
  const caption = 'Every figure something was judged by; under it the name by which a profile replaces it'
  return textElement('p', {}, LIMITS_INTRODUCTION) + tableOf(caption, ['Limit', 'Figure', 'Set by'], rows)
}

/** Lines to write on. */
function signedOff(): string {
  const lines = ['Checked by hand by', 'Date, engine hours', 'Handed over to'].map((text) =>
    textElement('div', {}, text),
  )
  return element('div', { class: 'signed-off' }, ...lines)
}
