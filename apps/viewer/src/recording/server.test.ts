import { describeProblem } from '@firstcrank/feed'
import { afterEach, describe, expect, it, vi } from 'vitest'
import { cardKeeper } from './card.js'
import { findFile } from './find-file.js'
import { findRun, listRuns } from './server.js'

const { signal } = new AbortController()

describe('what a server refuses', () => {
  afterEach(() => {
    vi.unstubAllGlobals()
  })
  const answer = (response: Response): void => {
    vi.stubGlobal('fetch', async () => response.clone())
  }

  it('has its code and its words, whatever was asked', async () => {
    const problem = describeProblem('pairing-needed', 'this device is new')
    answer(Response.json(problem, { status: problem.status }))
    const refused = { code: 'pairing-needed', message: 'this device is new' }
    await expect(findRun('a')).rejects.toMatchObject(refused)
    await expect(listRuns('')).rejects.toMatchObject(refused)
    await expect(cardKeeper('run:a').load()).rejects.toMatchObject(refused)
    await expect(cardKeeper('run:a').tick('oil-level', true)).rejects.toMatchObject(refused)
    await expect(findFile('run:a', signal)).rejects.toMatchObject(refused)
  })

  it('is a run that is not there only where it says so', async () => {
    const problem = describeProblem('run-not-found', 'a')
    answer(Response.json(problem, { status: problem.status }))
    await expect(findRun('a')).rejects.toMatchObject({ code: 'run-not-found' })
    answer(new Response('<h1>Oh no</h1>', { status: 500 }))
    await expect(findRun('a')).rejects.toMatchObject({ code: 'internal', message: '500' })
    await expect(cardKeeper('run:a').change({ title: 'A' })).rejects.toMatchObject({ code: 'internal', message: '500' })
  })

  it('is a run that is not there where nobody but a folder of files answers', async () => {
    answer(new Response('<h1>Not found</h1>', { status: 404 }))
    await expect(findRun('a')).rejects.toMatchObject({ code: 'run-not-found' })
    await expect(findFile('sample:none.log', signal)).rejects.toMatchObject({ code: 'run-not-found' })
  })
})
