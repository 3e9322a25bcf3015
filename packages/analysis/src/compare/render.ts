/** A comparison as text, HTML or Markdown. */
import { clock, type RenderOptions, Values } from '../render/values.js'
import { faultWords, PHASE_WORDS } from '../render/words.js'
import { GRADE_WORDS } from './compare.js'
import type { Comparison, ExposureComparison, FaultComparison, RunEvidence, VitalComparison } from './comparison.js'
import { duration, percent } from './grade.js'
import { overlaySvg } from './overlay-svg.js'
import { type Page, type PageForm, type PagePart, renderPage } from './page.js'

/** Pieces of evidence shown for one fault; JSON holds all. */
const SHOWN = 8
/** Starts and stretches of running shown. */
const PLACES = 8

const CHANGE_WORDS: Readonly<Record<FaultComparison['change'], string>> = {
  gone: 'Gone.',
  'still-there': 'Still there.',
  new: 'New.',
  changed: 'Changed.',
  'not-comparable': 'Not comparable.',
}

/** The comparison in one form, with a newline at its end. */
export function renderComparison(comparison: Comparison, form: PageForm, options: RenderOptions = {}): string {
  return renderPage(pageOf(comparison, form, options), form, options.width)
}

function pageOf(comparison: Comparison, form: PageForm, options: RenderOptions): Page {
  const { before, after, vehicle, conclusion, faults, clears, exposure, vitals, alignment, overlays, changes } =
    comparison
  const values = { before: new Values(before.recording, options), after: new Values(after.recording, options) }
  const say = (text: string): string => values.after.sentence(text)
  const when = ({ run, ...span }: RunEvidence): string => `${run}, ${values[run].span(span)}`
  const evidence = (item: RunEvidence): readonly [string, string] => [when(item), values[item.run].sentence(item.text)]
  return {
    title: `Before and after: ${before.title}, ${after.title}`,
    lead: conclusion.map(say),
    parts: [
      { heading: 'The vehicle', sentences: [vehicle.text] },
      ...faults.map((fault) => faultPart(fault, say, evidence)),
      { heading: 'Clear commands', sentences: [], evidence: clears.map(evidence) },
      ...exposure.map((use) => exposurePart(use, evidence)),
      {
        heading: 'Vitals in the same operating cells',
        sentences: [],
        table: {
          caption: 'Means of both runs, each cell with the same weight; the difference with its 95 % interval',
          columns: ['Vital', 'Phase', 'Before', 'After', 'Difference', 'Matters', 'Note and place'],
          rows: vitals.map((vital) => vitalRow(vital, values.after, when)),
        },
      },
      {
        heading: 'Laid over one another',
        sentences:
          overlays.length > 0 && form === 'html'
            ? ['Time counts from the event, in both runs. The full line is before, the dashed one after.']
            : [],
        pictures: overlays.map((overlay, index) => ({
          title: overlay.title,
          svg: overlaySvg(overlay, `overlay-${index + 1}`, values.after),
        })),
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
      {
        heading: 'What else changed',
        sentences: changes.map(({ text, evidence: places }) =>
          [say(text), ...places.slice(0, 2).map((place) => `(${when(place)})`)].join(' '),
        ),
      },
    ],
  }
}

function faultPart(
  fault: FaultComparison,
  say: (text: string) => string,
  evidence: (item: RunEvidence) => readonly [string, string],
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
      `${CHANGE_WORDS[change]}${grade === null ? '' : ` Of the repair: ${GRADE_WORDS[grade]}.`}`,
      say(statement),
      ...reasons.map(say),
      ...counts,
    ],
    evidence: fault.evidence.slice(0, SHOWN).map(evidence),
  }
}

function exposurePart(
  { before, after, coverage, missing, dimensions, evidence }: ExposureComparison,
  say: (item: RunEvidence) => readonly [string, string],
): PagePart {
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
    evidence: evidence.slice(0, PLACES).map(say),
    table: {
      caption: 'Starts and time in each use',
      columns: ['Use', 'Before', 'After'],
      rows: rows.map(([name, was, is, isTime]) => [name, shown(was, isTime), shown(is, isTime)]),
    },
  }
}

function vitalRow(vital: VitalComparison, values: Values, when: (place: RunEvidence) => string): string[] {
  const { title, phase, before, after, unit, difference, interval, matters, because } = vital
  const apart = (value: number): string => values.value(value, unit, { difference: true })
  return [
    title,
    PHASE_WORDS[phase],
    values.value(before, unit),
    values.value(after, unit),
    `${apart(difference)} (${apart(interval.from)} to ${apart(interval.to)})`,
    matters,
    [...(because === null ? [] : [values.sentence(because)]), vital.evidence.map(when).join('; ')].join(' '),
  ]
}
