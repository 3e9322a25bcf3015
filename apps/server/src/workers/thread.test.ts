import { describe, expect, test } from 'vitest'
import { Thread } from './thread.js'

/** A thread that does as it is told. */
const MODULE = new URL(
  `data:text/javascript,${encodeURIComponent(`
    import { parentPort, workerData } from 'node:worker_threads'
    parentPort.on('message', ({ id, method, argument }) => {
      if (method === 'echo') parentPort.postMessage({ id, result: [workerData, argument] })
      if (method === 'refuse') parentPort.postMessage({ id, problem: { code: 'not-a-log', detail: 'no' } })
      if (method === 'die') throw new Error('out of luck')
      if (method === 'leave') process.exit(3)
    })
  `)}`,
)

describe('a thread', () => {
  test('answers calls, each with its own answer', async () => {
    const thread = new Thread(MODULE, { setting: 1 }, () => undefined)
    const answers = await Promise.all([1, 2, 3].map((n) => thread.call('echo', n)))
    expect(answers).toEqual([1, 2, 3].map((n) => [{ setting: 1 }, n]))
    expect(thread.waiting).toBe(0)
    await thread.close()
  })

  test('refuses with a code', async () => {
    const thread = new Thread(MODULE, {}, () => undefined)
    await expect(thread.call('refuse', 0)).rejects.toMatchObject({ name: 'FeedError', code: 'not-a-log' })
    await thread.close()
  })

  test.each(['die', 'leave'])('that dies (%s) fails the calls it had, and is started anew', async (how) => {
    const deaths: string[] = []
    const thread = new Thread(MODULE, {}, (error) => deaths.push(error.message))
    const waiting = thread.call('never', 0)
    const last = thread.call(how, 0)
    await expect(waiting).rejects.toMatchObject({ code: 'internal' })
    await expect(last).rejects.toMatchObject({ code: 'internal' })
    expect(await thread.call('echo', 'again')).toEqual([{}, 'again'])
    expect(deaths).toEqual(how === 'die' ? ['out of luck'] : [])
    await thread.close()
  })

  test('has so many calls waiting and no more', async () => {
    const thread = new Thread(MODULE, {}, () => undefined)
    const calls = Array.from({ length: 257 }, () => thread.call('never', 0).catch((error) => error.code))
    expect(await calls[256]).toBe('too-busy')
    await thread.close()
    expect(await calls[0]).toBe('stopping')
  })

  test('that is closed takes no calls', async () => {
    const thread = new Thread(MODULE, {}, () => undefined)
    const waiting = thread.call('never', 0)
    const refused = expect(waiting).rejects.toMatchObject({ code: 'stopping' })
    await thread.close()
    await refused
    await expect(thread.call('echo', 1)).rejects.toMatchObject({ code: 'stopping' })
  })
})
