import { FEED_VERSION } from '@firstcrank/feed'
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest'
import { connect } from './connection.js'
import { type Contact, watchContact } from './contact.js'

/** A socket that the server refuses before it opens: a browser tells no more of it than that it closed. */
class RefusedSocket extends EventTarget {
  binaryType = ''
  readonly readyState = 3

  constructor() {
    super()
    setTimeout(() => this.dispatchEvent(new Event('close')))
  }
}

describe('a feed that is refused', () => {
  const fetched = vi.fn<(address: string) => Promise<Response>>()
  let told: Contact[]
  let untold: () => void
  beforeEach(() => {
    vi.useFakeTimers()
    vi.stubGlobal('fetch', fetched)
    vi.stubGlobal('WebSocket', RefusedSocket)
    // Node has no such function, and nothing is reported here.
    vi.stubGlobal('reportError', vi.fn())
    vi.stubGlobal('document', { baseURI: 'http://localhost/' })
    fetched.mockReset()
    told = []
    untold = watchContact((contact) => told.push(contact))
  })
  afterEach(() => {
    untold()
    vi.useRealTimers()
    vi.unstubAllGlobals()
  })
  const run = async (): Promise<void> => {
    const client = connect(
      () => undefined,
      () => undefined,
    )
    await vi.advanceTimersByTimeAsync(5_000)
    client.close()
  }

  it('says nothing of older pages where the server speaks the same version, or does not answer', async () => {
    fetched
      .mockResolvedValueOnce(Response.json({ name: 'firstcrank', feed: FEED_VERSION }))
      .mockResolvedValueOnce(new Response('<html></html>'))
      .mockRejectedValue(new TypeError('Failed to fetch'))
    await run()
    expect(fetched.mock.calls.length).toBeGreaterThan(2)
    expect(told).toEqual(['there'])
  })

  it('is told as older pages where the server speaks another version, and asked about no more', async () => {
    fetched.mockImplementation(async () => Response.json({ name: 'firstcrank', feed: FEED_VERSION + 1 }))
    await run()
    expect(told).toEqual(['there', 'older'])
    expect(fetched.mock.calls.map(([address]) => address)).toEqual(['api/server'])
  })
})
