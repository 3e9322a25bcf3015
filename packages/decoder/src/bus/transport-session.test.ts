import { describe, expect, it } from 'vitest'
import { type Announcement, Session } from './transport-session.js'

const MEBIBYTE = 1024 * 1024
const ANNOUNCEMENT: Announcement = {
  channel: 0,
  priority: 7,
  sa: 0,
  da: 0xf9,
  transport: 'extended',
  pgn: 61184,
  size: MEBIBYTE,
  packets: Math.ceil(MEBIBYTE / 7),
}
const PACKET = Uint8Array.of(1, 2, 3, 4, 5, 6, 7)

describe('room for the payload', () => {
  it('grows with the data of an extended message, not with what is announced', () => {
    const session = new Session(ANNOUNCEMENT, 0)
    session.open()
    expect(session.payload).toHaveLength(255 * 7)
    for (let n = 1; n <= 256; n++) session.store(n, PACKET, 0)
    expect(session.payload).toHaveLength(512 * 7)
    expect(session.received).toBe(256)
    expect(session.payload.subarray(0, 8)).toEqual(Uint8Array.of(...PACKET, 1))
    expect(session.payload.subarray(255 * 7, 256 * 7)).toEqual(PACKET)
  })

  it('is never more than the message', () => {
    const session = new Session({ ...ANNOUNCEMENT, size: 1800, packets: 258 }, 0)
    session.open()
    session.store(256, PACKET, 0)
    expect(session.payload).toHaveLength(1800)
  })

  it('is what was announced for the shorter protocol', () => {
    const session = new Session({ ...ANNOUNCEMENT, transport: 'rts-cts', size: 20, packets: 3 }, 0)
    session.open()
    expect(session.payload).toHaveLength(20)
    session.store(3, PACKET, 0)
    expect(session.payload.subarray(14)).toEqual(PACKET.subarray(0, 6))
  })

  it('is given back when the message is lost', () => {
    const session = new Session(ANNOUNCEMENT, 0)
    session.open()
    session.discard()
    expect(session.payload).toHaveLength(0)
    expect(session.state).toBe('discarded')
  })
})
