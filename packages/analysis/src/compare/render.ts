/** A comparison as text, HTML or Markdown. */
import { clock, type RenderOptions, Values } from '../render/values.js'
import { faultWords, PHASE_WORDS } from '../render/words.js'
import { GRADE_WORDS } from './compare.js'
import type { Comparison, ExposureComparison, FaultComparison, RunEvidence, VitalComparison } from './comparison.js'
import { duration, percent } from './grade.js'
import { type Page, type PageForm, type PagePart, renderPage } from './page.js'

/** Pieces of evidence shown for one fault; JSON holds all. */
const SHOWN = 4

const CHANGE_WORDS: Readonly<Record<FaultComparison['change'], string>> = {
  gone: 'gone',
  'still-there': 'still there',
  new: 'new',
  changed: 'changed',
  'not-comparable': 'not comparable',
}

/** The comparison in one form, with a newline at its end. */
export function renderComparison(comparison: Comparison, form: PageForm, options: RenderOptions = {}): string {
  return renderPage(pageOf(comparison, options), form, options.width)
}

function pageOf(comparison: Comparison, options: RenderOptions): Page {
  const { before, after, vehicle, conclusion, faults, clears, exposure, vitals, alignment, changes } = comparison
  const values = { before: new Values(before.recording, options), after: new Values(after.recording, options) }
  const evidence = ({ run, text, ...span }: RunEvidence): string =>
    `${run}, ${values[run].span(span)}: ${values[run].sentence(text)}`
  const say = (text: string): string => values.after.sentence(text)
  return {
    title: `Before and after: ${before.title}, ${after.title}`,
    lead: conclusion.map(say),
    parts: [
      { heading: 'The vehicle', sentences: [vehicle.text] },
      ...faults.map((fault) => faultPart(fault, say, evidence)),
      { heading: 'Clear commands', sentences: clears.map(evidence) },
      ...exposure.map((use) => exposurePart(use)),
      {
        heading: 'Vitals in the same operating cells',
        sentences: [],
        table: {
          caption: 'Means of both runs, each cell with the same weight; the difference with its 95 % interval',
          columns: ['Vital', 'Phase', 'Before', 'After', 'Difference', 'Matters', 'Note'],
          rows: vitals.map((vital) => vitalRow(vital, values.after)),
        },
      },
      {
        heading: 'Laid over one another',
        sentences: [],
        table: {
          caption: 'The same events, each in the time of its own run',
          columns: ['Event', 'Before', 'After'],
          rows: alignment.map(({ event, number, before: was, after: is }) => [
            `${event.replace('-', ' ')} ${number}`,
            clock(was - before.recording.from),
            clock(is - after.recording.from),
          ]),
        },
      },
      { heading: 'What else changed', sentences: changes.map(({ text }) => say(text)) },
    ],
  }
}

function faultPart(
  fault: FaultComparison,
  say: (text: string) => string,
  evidence: (item: RunEvidence) => string,
): PagePart {
  const { change, grade, statement, reasons, name, statistics } = fault
  const counts =
    statistics === null
      ? []
      : [
          `Counted: ${statistics.events.before} in ${statistics.hours.before.toFixed(2)} h before, ${statistics.events.after} in ${statistics.hours.after.toFixed(2)} h after; one-sided p ${statistics.p.toFixed(4)}; rate after to before, 95 %: ${statistics.ratio.from.toFixed(2)} to ${statistics.ratio.to === null ? 'no bound' : statistics.ratio.to.toFixed(2)}.`,
        ]
  return {
    heading: `${faultWords(fault)}: ${name}`,
    sentences: [
      `${CHANGE_WORDS[change]}${grade === null ? '' : `; the repair is: ${GRADE_WORDS[grade]}`}`,
      say(statement),
      ...reasons.map(say),
      ...counts,
      ...fault.evidence.slice(0, SHOWN).map(evidence),
      ...(fault.evidence.length > SHOWN ? [`and ${fault.evidence.length - SHOWN} more`] : []),
    ],
  }
}

function exposurePart({ before, after, coverage, missing, dimensions }: ExposureComparison): PagePart {
  const rows: [string, number | null, number | null, boolean][] = [
    ['key cycles', before.keyCycles, after.keyCycles, false],
    ['cold starts', before.coldStarts, after.coldStarts, false],
    ['hot starts', before.hotStarts, after.hotStarts, false],
    ['other starts', before.otherStarts, after.otherStarts, false],
    ['key on, engine standing', before.standing, after.standing, true],
    ['cranking', before.cranking, after.cranking, true],
    ['running', before.running, after.running, true],
    ['driving', before.driving, after.driving, true],
  ]
  const shown = (value: number | null, isTime: boolean): string =>
    value === null ? 'not known' : isTime ? duration(value) : String(value)
  const without = missing.length === 0 ? '' : ` Left out, since not in both runs: ${missing.join(', ')}.`
  return {
    heading: 'How the engine was used',
    sentences: [
      `The later run covers ${percent(coverage)} of the earlier one, in cells of ${dimensions.join(', ') || 'nothing but its use'}.${without}`,
    ],
    table: {
      caption: 'Starts and time in each use',
      columns: ['Use', 'Before', 'After'],
      rows: rows.map(([name, was, is, isTime]) => [name, shown(was, isTime), shown(is, isTime)]),
    },
  }
}

function vitalRow(vital: VitalComparison, values: Values): string[] {
  const { title, phase, before, after, unit, difference, interval, matters, because } = vital
  const apart = (value: number): string => values.value(value, unit, { difference: true })
  return [
    title,
    PHASE_WORDS[phase],
    values.value(before, unit),
    values.value(after, unit),
    `${apart(difference)} (${apart(interval.from)} to ${apart(interval.to)})`,
    matters,
    because === null ? '' : values.sentence(because),
  ]
}
