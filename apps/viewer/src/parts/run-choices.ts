/** Every run that can be chosen: of this device, of the server's library, and the practice recordings. */
import { listKept } from '../recording/kept-files.js'
import { findRun, findServer, listRuns } from '../recording/server.js'
import { formatMoment } from '../state/time.js'
import { sampleTitle } from '../words/labels.js'

/** Where a run is kept. */
export type RunPlace = 'library' | 'kept' | 'samples'

/** A run and what a person calls it. */
export interface RunChoice {
  readonly id: string
  readonly title: string
  readonly place: RunPlace
}

/** Runs that fit a search, and how many more of the library do than are listed. */
export interface RunChoices {
  readonly runs: readonly RunChoice[]
  readonly more: number
}

/** What can be chosen now, by words of its name, vehicle or notes; the library is searched by the server. */
export async function listChoices(words: string, left: AbortSignal): Promise<RunChoices> {
  const served = (await findServer()) !== null
  const [library, kept, samples] = await Promise.all([
    served ? listRuns(words, left) : null,
    served ? [] : listKept(),
    listSamples(),
  ])
  const own = [...kept.map(choiceOfKept), ...samples.map(choiceOfSample)].filter(({ title }) => fits(title, words))
  const found = (library?.runs ?? []).map(choiceOfRun)
  return { runs: [...found, ...own], more: (library?.total ?? 0) - found.length }
}

/** What a person calls a run, whether it is listed or not. */
export async function titleOfRun(id: string, left: AbortSignal): Promise<string> {
  const name = id.slice(id.indexOf(':') + 1)
  if (id.startsWith('sample:')) return sampleTitle(name)
  if (id.startsWith('run:')) return choiceOfRun(await findRun(name, left)).title
  const kept = (await listKept()).find((file) => file.id === name)
  return kept === undefined ? name : choiceOfKept(kept).title
}

function choiceOfRun({ id, title, file, summary, vehicle }: Awaited<ReturnType<typeof findRun>>): RunChoice {
  const from = summary?.dated ? summary.from : null
  return { id: `run:${id}`, title: named(title || file.name, from, vehicle), place: 'library' }
}

function choiceOfKept({ id, name, from }: Awaited<ReturnType<typeof listKept>>[number]): RunChoice {
  return { id: `file:${id}`, title: named(name, from), place: 'kept' }
}

function choiceOfSample(file: string): RunChoice {
  return { id: `sample:${file}`, title: sampleTitle(file), place: 'samples' }
}

function named(name: string, from: number | null, vehicle = ''): string {
  return [vehicle, name, from === null ? '' : formatMoment(from)].filter(Boolean).join(', ')
}

/** Whether a title holds every word. */
export function fits(title: string, words: string): boolean {
  const held = title.toLowerCase()
  return words
    .toLowerCase()
    .split(/\s+/)
    .every((word) => held.includes(word))
}

async function listSamples(): Promise<readonly string[]> {
  const list: readonly { readonly file: string }[] = await fetch('samples/list.json')
    .then((response) => response.json())
    .catch(() => [])
  return list.map(({ file }) => file)
}
