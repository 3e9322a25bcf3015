/** Every run that can be chosen: of this device, of the server's library, and the practice sheets. */

import { listKept } from '../recording/kept-files.js'
import { findServer, listRuns } from '../recording/server.js'
import { formatMoment } from '../state/time.js'
import { sampleTitle } from '../words/labels.js'

/** A run and what a person calls it. */
export interface RunChoice {
  readonly id: string
  readonly title: string
}

/** Runs by where they are. */
export interface RunChoices {
  readonly library: readonly RunChoice[]
  readonly kept: readonly RunChoice[]
  readonly samples: readonly RunChoice[]
}

/** What can be chosen now. */
export async function listChoices(): Promise<RunChoices> {
  const served = (await findServer()) !== null
  const [library, kept, samples] = await Promise.all([
    served ? listRuns('') : null,
    served ? [] : listKept(),
    listSamples(),
  ])
  return {
    library: (library?.runs ?? []).map(({ id, title, file, summary, vehicle }) => ({
      id: `run:${id}`,
      title: named(title || file.name, summary?.dated ? summary.from : null, vehicle),
    })),
    kept: kept.map(({ id, name, from }) => ({ id: `file:${id}`, title: named(name, from) })),
    samples: samples.map((file) => ({ id: `sample:${file}`, title: sampleTitle(file) })),
  }
}

function named(name: string, from: number | null, vehicle = ''): string {
  return [vehicle, name, from === null ? '' : formatMoment(from)].filter(Boolean).join(', ')
}

async function listSamples(): Promise<readonly string[]> {
  const list: readonly { readonly file: string }[] = await fetch('samples/list.json')
    .then((response) => response.json())
    .catch(() => [])
  return list.map(({ file }) => file)
}
