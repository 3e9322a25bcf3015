/** The extended protocol of ISO 11783-3; its layout is from memory. */
import { describe, expect, it } from 'vitest'
import type { Message } from './message.js'
import { Transport } from './transport.js'
import type { TransportEvent } from './transport-events.js'
import type { TransportLimits } from './transport-limits.js'

const hex = (bytes: Iterable<number>) => Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('')

function listener(limits: Partial<TransportLimits> = {}) {
  const messages: Message[] = []
  const events: TransportEvent[] = []
  const transport = new Transport(
    {
      message: (message) => messages.push({ ...message, payload: message.payload.slice() }),
      event: (event) => events.push(event),
    },
    limits,
  )
  let time = 0
  return {
    messages,
    events,
    transport,
    codes: () => events.map(({ code }) => code),
    /** Takes frames as `id#data`, 10 ms apart. */
    takeAll(frames: readonly string[]) {
      for (const frame of frames) {
        const [id, data] = frame.split('#')
        const bytes = Uint8Array.from(data.match(/../g) ?? [], (byte) => Number.parseInt(byte, 16))
        time += 10_000
        transport.frame(0, Number.parseInt(id, 16), time, bytes, 0, bytes.length)
      }
    },
  }
}

describe('extended protocol', () => {
  const payload = Uint8Array.from({ length: 1800 }, (_, i) => (i * 13 + (i >>> 8)) & 0xff)
  const packets = Math.ceil(payload.length / 7)
  const three = (value: number) => hex([value & 0xff, (value >>> 8) & 0xff, value >>> 16])
  const rts = `18C8F900#14${hex([payload.length & 0xff, payload.length >>> 8, 0, 0])}00EF00`
  const cts = (number: number, next: number) => `18C800F9#15${hex([number])}${three(next)}00EF00`
  const dpo = (number: number, offset: number) => `18C8F900#16${hex([number])}${three(offset)}00EF00`
  const eoma = rts.replace('18C8F900#14', '18C800F9#17')
  const data = (offset: number, sequence: number) => {
    const start = (offset + sequence - 1) * 7
    return `18C7F900#${hex([sequence])}${hex(payload.subarray(start, start + 7)).padEnd(14, 'f')}`
  }
  const window = (offset: number, number: number) => [
    cts(number, offset + 1),
    dpo(number, offset),
    ...Array.from({ length: number }, (_, i) => data(offset, i + 1)),
  ]

  it('counts packets from the last offset', () => {
    const bus = listener()
    bus.takeAll([rts, ...window(0, 100), ...window(100, 100), ...window(200, packets - 200), eoma])
    expect(bus.messages).toMatchObject([{ pgn: 61184, sa: 0, da: 0xf9, transport: 'extended', payload }])
    expect(bus.events).toEqual([])
  })

  it('takes a whole window again, and delivers once', () => {
    const bus = listener()
    const last = window(200, packets - 200)
    bus.takeAll([rts, ...window(0, 100), ...window(100, 100), ...window(100, 100), ...last, ...last, eoma])
    expect(bus.messages).toMatchObject([{ payload }])
    expect(bus.codes()).toEqual(['repeat-requested', 'repeat-requested'])
  })

  it('gives up when a whole window is missing, and takes in the rest', () => {
    const bus = listener()
    bus.takeAll([rts, ...window(0, 100), ...window(200, packets - 200), eoma])
    bus.transport.finish()
    expect(bus.events.map(({ code, received }) => [code, received])).toEqual([
      ['gap', 100],
      ['missing-packets', 100],
    ])
  })

  it('runs beside a message of the shorter protocol between the same two nodes', () => {
    const short = ['1CECF900#10090002FFECFE00', '1CEBF900#0141424344454647', '1CEBF900#024849FFFFFFFFFF']
    const bus = listener()
    bus.takeAll([rts, short[0], ...window(0, 100), short[1], short[2], ...window(100, 100)])
    bus.takeAll([...window(200, packets - 200), eoma])
    expect(bus.messages).toMatchObject([
      { payload: Uint8Array.of(0x41, 0x42, 0x43, 0x44, 0x45, 0x46, 0x47, 0x48, 0x49) },
      { payload },
    ])
    expect(bus.events).toEqual([])
  })

  it('reports an offset that leads beyond the message', () => {
    const bus = listener()
    bus.takeAll([rts, ...window(0, 255), cts(2, 256), dpo(4, 255), data(255, 1), data(255, 2), data(255, 3)])
    expect(packets).toBe(258)
    expect(bus.messages).toMatchObject([{ payload }])
    expect(bus.codes()).toEqual(['wrong-offset'])
  })

  it('reads sizes and offsets of more than two bytes', () => {
    const bus = listener()
    // 70,001 bytes are 011171h, in 10,001 packets.
    bus.takeAll(['18C8F900#147111010000EF00', cts(1, 10001), cts(1, 10002), dpo(1, 0), data(0, 1)])
    bus.takeAll(['18C800F9#177111010000EF00'])
    expect(bus.events.map(({ code, size, packets }) => [code, size, packets])).toEqual([
      ['gap', 70001, 10001],
      ['cts-beyond-message', 70001, 10001],
      ['wrong-offset', 70001, 10001],
      ['missing-packets', 70001, 10001],
    ])
  })

  it('has a limit on the announced size', () => {
    const bus = listener({ maxExtendedPayload: 1799 })
    bus.takeAll([rts, ...window(0, 100), eoma])
    expect(bus.codes()).toEqual(['over-size-limit'])
  })
})
