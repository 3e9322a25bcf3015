import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { fetchPatiently, loadPart } from './contact.js'

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
