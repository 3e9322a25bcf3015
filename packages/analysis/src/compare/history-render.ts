/** A history as text, HTML or Markdown. */
import { type RenderOptions, Values } from '../render/values.js'
import { faultWords } from '../render/words.js'
import type { History } from './history.js'
import { type PageForm, renderPage } from './page.js'

const VEHICLE_WORDS: Readonly<Record<History['sameVehicle'], string>> = {
  same: 'All runs name the same vehicle.',
  different: 'Not all runs name the same vehicle: their figures cannot be put in a row.',
  unknown: 'Whether all runs are of one vehicle cannot be known from the bus.',
}

/** The history in one form, with a newline at its end. */
export function renderHistory(history: History, form: PageForm, options: RenderOptions = {}): string {
  const { runs, faults, figures, notes, sameVehicle } = history
  const values = new Values(runs[0]?.recording ?? { from: 0, dated: false }, options)
  const numbers = runs.map((_, i) => `run ${i + 1}`)
  const when = (micros: number): string => values.date(micros) ?? values.time(micros)
  return renderPage(
    {
      title: `History of ${runs.length} runs`,
      lead: [VEHICLE_WORDS[sameVehicle]],
      parts: [
        {
          heading: 'Runs and work',
          sentences: [
            ...runs.flatMap(({ title, recording, faults: list }, i) => [
              ...notes.filter(({ after }) => after === i).map(({ time, text }) => `${when(time)}, note: ${text}`),
              `run ${i + 1}, ${when(recording.from)}: ${title}; ${activeWords(list)}`,
            ]),
            ...notes
              .filter(({ after }) => after === runs.length)
              .map(({ time, text }) => `${when(time)}, note: ${text}`),
          ],
        },
        {
          heading: 'Faults by run',
          sentences: [],
          table: {
            caption: 'What each node listed; silent: it reported nothing, so nobody can say',
            columns: ['Fault', ...numbers],
            rows: faults.map((fault) => [
              `${faultWords(fault)}, ${fault.name}`,
              ...fault.runs.map((state) => state.replaceAll('-', ' ')),
            ]),
          },
        },
        {
          heading: 'Key figures',
          sentences: [],
          table: {
            caption: 'Change is the last less the first; a star where it is more than both uncertainties together',
            columns: ['Figure', ...numbers, 'change'],
            rows: figures.map(({ title, unit, runs: row, change, beyondUncertainty }) => [
              title,
              ...row.map((value) => (value === null ? '–' : values.value(value, unit))),
              change === null
                ? '–'
                : `${values.value(change, unit, { difference: true })}${beyondUncertainty === true ? ' *' : ''}`,
            ]),
          },
        },
      ],
    },
    form,
    options.width,
  )
}

/** `2 active faults`. */
function activeWords(faults: History['runs'][number]['faults']): string {
  const count = faults.filter(({ state }) => state === 'active').length
  return `${count} active ${count === 1 ? 'fault' : 'faults'}`
}
