import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { formatIdentifier } from './identifier.js'
import type { Message } from './message.js'
import { ETP_CONTROL_PGN, ETP_DATA_PGN, isTransportGroup, TP_CONTROL_PGN, TP_DATA_PGN, Transport } from './transport.js'
import { TRANSPORT_EVENTS, type TransportEvent } from './transport-events.js'
import type { TransportLimits } from './transport-limits.js'

const MS = 1000

/** A transport with what it gave; payloads are copied. */
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
    /** Takes a frame as `id#data`, 10 ms after the last or as long as said. */
    take(frame: string, wait = 10 * MS, channel = 0) {
      const [id, data] = frame.split('#')
      const bytes = Uint8Array.from(data.match(/../g) ?? [], (byte) => Number.parseInt(byte, 16))
      time += wait
      transport.frame(channel, Number.parseInt(id, 16), time, bytes, 0, bytes.length)
    },
    takeAll(frames: readonly string[]) {
      for (const frame of frames) this.take(frame)
    },
  }
}

type Packets = { readonly control: string; readonly data: readonly string[] }

const hex = (bytes: Iterable<number>) => Array.from(bytes, (byte) => byte.toString(16).padStart(2, '0')).join('')

/** The frames that carry a payload: `bam` to all or to one address, else by request to send. */
function frames(payload: Uint8Array, sa: number, da: number, pgn: number, bam = da === 255, padding = 0xff): Packets {
  const packets = Math.ceil(payload.length / 7)
  const group = [pgn & 0xff, (pgn >>> 8) & 0xff, pgn >>> 16]
  const control = [bam ? 32 : 16, payload.length & 0xff, payload.length >>> 8, packets, 0xff, ...group]
  const id = (group: number) => formatIdentifier({ priority: 7, pgn: group, sa, da }).toString(16).padStart(8, '0')
  return {
    control: `${id(TP_CONTROL_PGN)}#${hex(control)}`,
    data: Array.from({ length: packets }, (_, i) => {
      const bytes = new Uint8Array(8).fill(padding)
      bytes[0] = i + 1
      bytes.set(payload.subarray(i * 7, i * 7 + 7), 1)
      return `${id(TP_DATA_PGN)}#${hex(bytes)}`
    }),
  }
}

const count = (length: number, first: number) => Uint8Array.from({ length }, (_, i) => first + i)

describe('sessions', () => {
  it('keeps sources, destinations, channels and directions apart', () => {
    const wanted = [
      { channel: 0, sa: 0x00, da: 0xff, pgn: 65226, payload: count(18, 0x10) },
      { channel: 0, sa: 0x00, da: 0xf9, pgn: 65260, payload: count(20, 0x30) },
      { channel: 0, sa: 0xf9, da: 0x00, pgn: 65260, payload: count(21, 0x50) },
      { channel: 0, sa: 0x03, da: 0xff, pgn: 65226, payload: count(17, 0x70) },
      { channel: 1, sa: 0x00, da: 0xff, pgn: 65226, payload: count(15, 0x90) },
    ]
    const bus = listener()
    const sent = wanted.map((w) => ({ ...frames(w.payload, w.sa, w.da, w.pgn), channel: w.channel }))
    for (const { control, channel } of sent) bus.take(control, 1, channel)
    for (let i = 0; i < 3; i++) for (const { data, channel } of sent) bus.take(data[i], 1, channel)
    expect(bus.messages).toMatchObject(wanted)
    expect(bus.events).toEqual([])
  })

  it('says when the first and the last frame came', () => {
    const { control, data } = frames(count(10, 1), 0, 255, 65226)
    const bus = listener()
    bus.takeAll([control, ...data])
    expect(bus.messages).toEqual([
      {
        channel: 0,
        priority: 7,
        pgn: 65226,
        sa: 0,
        da: 255,
        firstTime: 10 * MS,
        time: 30 * MS,
        payload: count(10, 1),
        transport: 'bam',
      },
    ])
  })

  it('takes a broadcast to one address, as it was seen on a truck', () => {
    const { data } = frames(count(66, 0x20), 0x8b, 0x25, 54272)
    const bus = listener()
    bus.takeAll(['18EC258B#2042000AFF00D400', ...data])
    expect(bus.messages).toMatchObject([{ sa: 0x8b, da: 0x25, pgn: 54272, transport: 'bam', payload: count(66, 0x20) }])
    expect(bus.codes()).toEqual(['directed-bam'])
  })

  it('takes a group number whose lowest byte holds a destination', () => {
    const { control, data } = frames(count(9, 1), 0, 0xf9, 0xef25)
    const bus = listener()
    bus.takeAll([control, ...data])
    expect(bus.messages).toMatchObject([{ pgn: 0xef00 }])
  })

  it('ignores frames of other groups, also such with a page bit set', () => {
    const bus = listener()
    bus.takeAll(['0CF00400#0000000000000000', '1DECFF80#20120003FFCAFE00', '1EEBFF80#0111121314151617'])
    bus.transport.finish()
    expect(bus.events).toEqual([])
  })

  it.each([
    [TP_CONTROL_PGN, true],
    [TP_DATA_PGN, true],
    [ETP_CONTROL_PGN, true],
    [ETP_DATA_PGN, true],
    [65226, false],
    [TP_DATA_PGN + 0x10000, false],
  ])('group %i is a transport group: %s', (pgn, expected) => {
    expect(isTransportGroup(pgn)).toBe(expected)
  })

  it('takes a last packet without padding', () => {
    const { control, data } = frames(count(9, 1), 0, 255, 65226)
    const bus = listener()
    bus.takeAll([control, data[0], data[1].slice(0, -10)])
    expect(bus.messages).toMatchObject([{ payload: count(9, 1) }])
    expect(bus.events).toEqual([])
  })

  it('begins anew after the end of a recording', () => {
    const { control, data } = frames(count(9, 1), 0, 255, 65226)
    const bus = listener()
    bus.takeAll([control, data[0]])
    bus.transport.finish()
    bus.transport.finish()
    bus.takeAll([control, ...data])
    expect(bus.messages).toHaveLength(1)
    expect(bus.codes()).toEqual(['recording-ended'])
  })
})

describe('any payload', () => {
  const session = fc.record({
    payload: fc.uint8Array({ minLength: 9, maxLength: 200 }),
    da: fc.constantFrom(255, 0x21, 0xf9),
    padding: fc.integer({ min: 0, max: 255 }),
  })

  it('comes out as it went in, whatever the sources interleave', () => {
    fc.assert(
      fc.property(
        fc.array(session, { minLength: 1, maxLength: 6 }),
        fc.infiniteStream(fc.nat()),
        (sessions, choices) => {
          const queues = sessions.map(({ payload, da, padding }, sa) => {
            const { control, data } = frames(payload, sa, da, 65226, da === 255, padding)
            return [control, ...data]
          })
          const bus = listener()
          for (;;) {
            const waiting = queues.filter((queue) => queue.length > 0)
            if (waiting.length === 0) break
            bus.take(waiting[choices.next().value % waiting.length].shift() ?? '', 0)
          }
          const bySource = bus.messages.toSorted((a, b) => a.sa - b.sa)
          expect(bySource.map(({ payload }) => payload)).toEqual(sessions.map(({ payload }) => payload))
          expect(bus.events).toEqual([])
        },
      ),
      { numRuns: 50 },
    )
  })

  it.each([9, 14, 15, 1784, 1785])('of %i bytes', (length) => {
    const payload = Uint8Array.from({ length }, (_, i) => (i * 31 + (i >>> 8)) & 0xff)
    const { control, data } = frames(payload, 0, 0xf9, 65226)
    const bus = listener()
    bus.takeAll([control, ...data])
    expect(bus.messages).toMatchObject([{ payload }])
  })
})

describe('clearances and repeats', () => {
  const { control, data } = frames(count(20, 0x40), 0x00, 0xf9, 65260)
  const cts = (packets: number, next: number) => `1CEC00F9#11${hex([packets, next])}FFFFECFE00`
  const eoma = '1CEC00F9#13140003FFECFE00'

  it('takes a message of which only the sender was recorded', () => {
    const bus = listener()
    bus.takeAll([control, ...data])
    expect(bus.messages).toMatchObject([{ payload: count(20, 0x40) }])
    bus.transport.finish()
    expect(bus.events).toEqual([])
  })

  it('takes packets again that the receiver asked for, the last content counts', () => {
    const bus = listener()
    const changed = data[1].replace(/..$/, '99')
    bus.takeAll([control, cts(3, 1), data[0], data[1], cts(2, 2), changed, data[2], eoma])
    const payload = count(20, 0x40)
    payload[13] = 0x99
    expect(bus.messages).toMatchObject([{ payload }])
    expect(bus.codes()).toEqual(['repeat-requested'])
  })

  it('delivers once, though the receiver asks for packets it has missed', () => {
    const bus = listener()
    bus.takeAll([control, cts(3, 1), ...data, cts(2, 2), data[1], data[2], cts(1, 3), data[2], eoma])
    expect(bus.messages).toHaveLength(1)
    bus.transport.finish()
    expect(bus.codes()).toEqual(['repeat-requested', 'repeat-requested'])
  })

  it('finds out when the packets after the last one belong to another message', () => {
    const other = frames(count(20, 0x80), 0x00, 0xf9, 65260)
    const bus = listener()
    bus.takeAll([control, ...data, ...other.data])
    bus.transport.finish()
    expect(bus.messages).toHaveLength(1)
    expect(bus.events).toMatchObject([{ code: 'data-without-session', received: 3 }])
  })

  it('waits while the receiver holds the connection', () => {
    const bus = listener()
    bus.takeAll([control, cts(1, 1), data[0]])
    for (let i = 0; i < 4; i++) bus.take(cts(0, 255), 2000 * MS)
    bus.takeAll([cts(2, 2), data[1], data[2], eoma])
    expect(bus.messages).toHaveLength(1)
    expect(bus.events).toEqual([])
  })

  it('sees a gap that the receiver does not have', () => {
    const bus = listener()
    bus.takeAll([control, cts(2, 1), data[0], cts(1, 3), data[2], eoma])
    expect(bus.codes()).toEqual(['gap', 'missing-packets'])
  })

  it('takes the missing packet when it is sent again', () => {
    const bus = listener()
    bus.takeAll([control, cts(3, 1), data[0], data[2], cts(1, 2), data[1], eoma])
    expect(bus.messages).toMatchObject([{ payload: count(20, 0x40) }])
    expect(bus.codes()).toEqual(['gap', 'repeat-requested'])
  })

  it('takes in what still comes of a refused message, once it is reported', () => {
    const bus = listener({ maxPayload: 19 })
    bus.take(control)
    for (const frame of [cts(3, 1), ...data, eoma]) bus.take(frame, 2000 * MS)
    bus.transport.finish()
    expect(bus.codes()).toEqual(['over-size-limit'])
  })

  it.each([
    ['the receiver', '1CEC00F9#FF03FFFFFFECFE00', 0xf9],
    ['the sender', '1CECF900#FF03FFFFFFECFE00', 0x00],
  ])('may be aborted by %s', (_, abort, by) => {
    const bus = listener()
    bus.takeAll([control, cts(3, 1), data[0], abort])
    expect(bus.events).toMatchObject([{ code: 'aborted', sa: 0x00, da: 0xf9, by, reason: 3 }])
  })

  it('takes an abort out of nothing for the answer of a receiver', () => {
    const bus = listener()
    bus.take('1CEC00F9#FF03FFFFFFECFE00')
    bus.transport.finish()
    expect(bus.events).toMatchObject([{ code: 'control-without-session', sa: 0x00, da: 0xf9, pgn: 65260 }])
  })
})

describe('recordings that begin in the middle', () => {
  it('counts a run of packets once, answers of the receiver included', () => {
    const { data } = frames(count(50, 1), 0x00, 0xf9, 65260)
    const bus = listener()
    bus.takeAll([data[4], '1CEC00F9#110206FFFFECFE00', data[5], data[6], '1CEC00F9#13320008FFECFE00'])
    bus.transport.finish()
    expect(bus.events).toMatchObject([
      {
        code: 'data-without-session',
        sa: 0,
        da: 0xf9,
        pgn: 65260,
        received: 3,
        firstTime: 10 * MS,
        lastTime: 50 * MS,
      },
    ])
  })

  it('counts two runs where a long silence lies between', () => {
    const { data } = frames(count(50, 1), 0x00, 0xff, 65260)
    const bus = listener()
    bus.takeAll([data[4], data[5]])
    bus.take(data[6], 2000 * MS)
    bus.transport.finish()
    expect(bus.events).toMatchObject([
      { code: 'data-without-session', received: 2, time: 1520 * MS },
      { code: 'data-without-session', received: 1 },
    ])
  })
})

describe('time', () => {
  const { control, data } = frames(count(20, 0x40), 0x00, 0xff, 65260)

  it.each([0, 1, 42 * MS, 750 * MS, 1500 * MS])('takes packets %i µs apart', (spacing) => {
    const bus = listener()
    for (const frame of [control, ...data]) bus.take(frame, spacing)
    expect(bus.messages).toHaveLength(1)
    expect(bus.events).toEqual([])
  })

  it.each([
    ['broadcast', 255, 1500],
    ['directed message', 0x21, 2500],
  ])('gives a %s to %i up after %i ms of silence', (_, da, limit) => {
    const sent = frames(count(20, 0x40), 0x00, da, 65260)
    const bus = listener()
    bus.takeAll([sent.control, sent.data[0]])
    bus.transport.tick((20 + limit) * MS)
    expect(bus.events).toEqual([])
    bus.transport.tick((20 + limit) * MS + 1)
    expect(bus.events).toMatchObject([{ code: 'timed-out', time: (20 + limit) * MS, lastTime: 20 * MS, received: 1 }])
  })

  it('reports several in the order in which their time was over', () => {
    const bus = listener()
    bus.take(frames(count(9, 1), 1, 0x21, 65226).control)
    bus.take(frames(count(9, 1), 2, 255, 65226).control)
    bus.take(frames(count(9, 1), 3, 255, 65226).control)
    bus.transport.tick(60_000 * MS)
    expect(bus.events.map(({ sa, time }) => [sa, time / MS])).toEqual([
      [2, 1520],
      [3, 1530],
      [1, 2510],
    ])
  })

  it('takes times that run back a little', () => {
    const bus = listener()
    bus.take(control)
    for (const frame of data) bus.take(frame, -90 * MS)
    expect(bus.messages).toHaveLength(1)
  })

  it('gives a message up when the clock is set back or far ahead', () => {
    for (const jump of [-3600_000 * MS, 50 * 365 * 86_400_000 * MS]) {
      const bus = listener()
      bus.takeAll([control, data[0]])
      bus.take(data[1], jump)
      bus.transport.finish()
      expect(bus.messages).toEqual([])
      expect(bus.codes()).toEqual(['timed-out', 'data-without-session'])
    }
  })

  it('gives the same whether or not it is told the time between frames', () => {
    const wait = fc.constantFrom(0, 10 * MS, 600 * MS, 1400 * MS, 1600 * MS, 2600 * MS)
    const all = [control, ...data, ...Object.values(frames(count(20, 0x40), 0x00, 0xf9, 65260)).flat()]
    fc.assert(
      fc.property(fc.array(fc.tuple(fc.constantFrom(...all), wait), { maxLength: 60 }), (recording) => {
        const quiet = listener()
        const told = listener()
        let time = 0
        for (const [frame, wait] of recording) {
          quiet.take(frame, wait)
          told.transport.tick(time + wait / 2)
          told.take(frame, wait)
          time += wait
        }
        expect(told.events).toEqual(quiet.events)
        expect(told.messages).toEqual(quiet.messages)
      }),
    )
  })
})

describe('limits', () => {
  const bam = (sa: number) => frames(count(20, 0x40), sa, 0xff, 65260)
  const rts = (da: number) => frames(count(20, 0x40), 0, da, 65260)

  it('allows a number of sessions for each node', () => {
    const bus = listener({ maxSessionsPerNode: 2 })
    bus.takeAll([rts(1).control, rts(2).control, rts(3).control, bam(9).control])
    expect(bus.events).toMatchObject([{ code: 'too-many-sessions', sa: 0, da: 3, time: 30 * MS }])
    // Ending one makes room.
    bus.takeAll(['1CEC0001#FF01FFFFFFECFE00', rts(3).control])
    expect(bus.codes()).toEqual(['too-many-sessions', 'aborted'])
  })

  it('allows a number of sessions in all', () => {
    const bus = listener({ maxSessions: 2 })
    bus.takeAll([bam(1).control, bam(2).control, bam(3).control])
    expect(bus.events).toMatchObject([{ code: 'too-many-sessions', sa: 3 }])
  })

  it('lets finished sessions make room', () => {
    const bus = listener({ maxSessions: 2 })
    bus.takeAll([bam(1).control, ...bam(1).data, bam(2).control, bam(3).control, ...bam(2).data, ...bam(3).data])
    expect(bus.messages).toHaveLength(3)
    expect(bus.events).toEqual([])
  })

  it('reports each packet by itself where there is no room to count a run', () => {
    const bus = listener({ maxSessions: 1 })
    bus.takeAll([bam(1).control, bam(2).data[0], bam(2).data[1]])
    expect(bus.events).toMatchObject([
      { code: 'data-without-session', sa: 2, received: 1 },
      { code: 'data-without-session', sa: 2, received: 1 },
    ])
  })
})

describe('anything at all', () => {
  const known = [0xec00, 0xeb00, 0xc800, 0xc700]
  const frame = fc.record({
    pgn: fc.constantFrom(...known),
    sa: fc.constantFrom(0, 1, 254, 255),
    da: fc.constantFrom(0, 1, 254, 255),
    wait: fc.constantFrom(0, 50 * MS, 3000 * MS, -5000 * MS),
    first: fc.constantFrom(1, 2, 3, 16, 17, 19, 20, 21, 22, 23, 32, 255),
    rest: fc.oneof(
      fc.constantFrom('09000200caee00', '0a0002ffcafe00', 'fa060000cafe00', '01010000cafe00'),
      fc.uint8Array({ maxLength: 7 }).map(hex),
    ),
  })

  it('never throws, and accounts for each announcement once', () => {
    fc.assert(
      fc.property(fc.array(frame, { maxLength: 80 }), (recording) => {
        const bus = listener({ maxSessions: 6, maxSessionsPerNode: 3 })
        let announced = 0
        for (const { pgn, sa, da, wait, first, rest } of recording) {
          const isAnnouncement = pgn === 0xec00 ? first === 16 || first === 32 : pgn === 0xc800 && first === 20
          if (isAnnouncement && rest.length === 14) announced++
          const id = formatIdentifier({ priority: 7, pgn, sa, da }).toString(16)
          bus.take(`${id}#${hex([first])}${rest}`, wait)
        }
        bus.transport.finish()
        const lost = bus.events.filter(({ code }) => TRANSPORT_EVENTS[code].incomplete)
        expect(bus.messages.length + lost.length).toBe(announced)
      }),
      { numRuns: 500 },
    )
  })
})
