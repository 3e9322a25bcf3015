import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { type Contact, fetchPatiently, loadPart, watchContact } from './contact.js'

const page = () => new Response(null, { status: 200 })
const refused = () => Promise.reject(new TypeError('Failed to fetch'))
const stopping = () => Response.json({ code: 'stopping' }, { status: 503 })
const busy = () => Response.json({ code: 'too-busy' }, { status: 503 })

describe('a server that is away for a while', () => {
  const fetched = vi.fn<(address: string, init?: RequestInit) => Promise<Response>>()
  beforeEach(() => {
    vi.useFakeTimers()
    vi.stubGlobal('fetch', fetched)
    fetched.mockReset()
  })
  afterEach(() => {
    vi.useRealTimers()
    vi.unstubAllGlobals()
  })
  /** Answers questions in turn; whether the server is back is asked with HEAD, in a turn of its own. */
  const answer = (back: readonly (() => Response | Promise<Response>)[], ...asked: typeof back): void => {
    const turns = { HEAD: [...back], GET: [...asked] }
    fetched.mockImplementation(async (_, init) => {
      const next = turns[init?.method === 'HEAD' ? 'HEAD' : 'GET'].shift()
      return next === undefined ? refused() : next()
    })
  }

  it('is asked again once it answers, and by all who wait together', async () => {
    answer(
      [refused, refused, page],
      refused,
      refused,
      () => new Response('one'),
      () => new Response('two'),
    )
    const both = Promise.all([fetchPatiently('api/a'), fetchPatiently('api/b')])
    await vi.advanceTimersByTimeAsync(5_000)
    expect(await Promise.all((await both).map((response) => response.text()))).toEqual(['one', 'two'])
    expect(fetched.mock.calls.filter(([, init]) => init?.method === 'HEAD').length).toBe(3)
  })

  it('is waited for while it stops or another answers in its place, not where it has too much to do', async () => {
    answer([page, page], stopping, () => new Response(null, { status: 502 }), busy)
    const response = fetchPatiently('api/a')
    await vi.advanceTimersByTimeAsync(5_000)
    expect(await (await response).json()).toEqual({ code: 'too-busy' })
  })

  it('is not asked for ever what never comes although it answers', async () => {
    answer([page, page, page])
    const response = fetchPatiently('api/a')
    await expect(response).rejects.toThrow('Failed to fetch')
    expect(fetched.mock.calls.filter(([, init]) => init?.method !== 'HEAD').length).toBe(2)
  })

  it('is asked again what was refused while it came back, and what is refused after another break', async () => {
    answer([page, refused, page, page], refused, refused, refused, () => new Response('one'))
    const response = fetchPatiently('api/a')
    await expect(response).rejects.toThrow('Failed to fetch')
    answer([refused, page, refused, page], refused, refused, () => new Response('one'))
    const later = fetchPatiently('api/a')
    await vi.advanceTimersByTimeAsync(5_000)
    expect(await (await later).text()).toBe('one')
  })

  it('is told once to be lost and once to be there, however often it is asked meanwhile', async () => {
    answer([page, refused, page, page, page], stopping, refused, stopping, stopping, () => new Response('one'))
    const told: Contact[] = []
    const untold = watchContact((contact) => told.push(contact))
    const response = fetchPatiently('api/a')
    await vi.advanceTimersByTimeAsync(9_000)
    expect(await (await response).text()).toBe('one')
    untold()
    expect(told).toEqual(['there', 'lost', 'there'])
  })

  it('is asked no more by a page that was left', async () => {
    answer([])
    const left = new AbortController()
    const response = fetchPatiently('api/a', left.signal)
    const refusal = expect(response).rejects.toThrow('left')
    await vi.advanceTimersByTimeAsync(2_500)
    left.abort(new Error('left'))
    await refusal
    await vi.advanceTimersByTimeAsync(1_000)
    const asked = fetched.mock.calls.length
    await vi.advanceTimersByTimeAsync(10_000)
    expect(fetched.mock.calls.length).toBe(asked)
  })

  it('gives a part of the pages once it is back', async () => {
    answer([refused, refused, page])
    const load = vi.fn<() => Promise<string>>().mockRejectedValueOnce(new TypeError('gone')).mockResolvedValue('part')
    const part = loadPart(load)
    await vi.advanceTimersByTimeAsync(5_000)
    expect(await part).toBe('part')
    expect(load).toHaveBeenCalledTimes(2)
  })

  it('no longer has a part where it answers and the part is refused twice', async () => {
    answer([page])
    const load = vi.fn<() => Promise<string>>().mockRejectedValue(new TypeError('gone'))
    await expect(loadPart(load)).rejects.toThrow('gone')
    expect(load).toHaveBeenCalledTimes(2)
  })
})
