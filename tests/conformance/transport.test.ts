/** Published multi-packet messages, frames and limits, each with its source, against the decoder. */
import { describe, expect, it } from 'vitest'
import { abortReason } from '../../packages/decoder/src/bus/abort-reasons.js'
import type { Message } from '../../packages/decoder/src/bus/message.js'
import {
  ETP_CONTROL_PGN,
  ETP_DATA_PGN,
  TP_CONTROL_PGN,
  TP_DATA_PGN,
  Transport,
} from '../../packages/decoder/src/bus/transport.js'
import type { TransportEvent } from '../../packages/decoder/src/bus/transport-events.js'
import { TRANSPORT_LIMITS } from '../../packages/decoder/src/bus/transport-limits.js'

const KEYPAD = 'Keypad J1939 manual'
const LAB = 'University lab notebooks on multi-frame messages'
const CAPTURE = 'Open CAN capture of heavy trucks (public dataset)'
const ATTACKS = 'Open captures of attacks on a J1939 bus (public dataset)'
const TUTORIAL = 'An embedded systems tutorial on the J1939 transport protocol'
const KERNEL = 'Linux kernel: J1939 documentation'
const QUOTED = 'Linux kernel commit quoting SAE J1939-21, 5.12.3 and appendix C'
const MEMORY = 'from memory'

const bytes = (text: string) => Uint8Array.from(text.split(' '), (byte) => Number.parseInt(byte, 16))
const hex = (payload: Uint8Array) =>
  Array.from(payload, (byte) => byte.toString(16).padStart(2, '0').toUpperCase()).join(' ')

type Frame = readonly [id: number, data: string]

/** Plays frames, `spacing` microseconds apart, and gives what came of them. Payloads are copied. */
function play(frames: readonly Frame[], spacing = 50_000): { messages: Message[]; events: TransportEvent[] } {
  const messages: Message[] = []
  const events: TransportEvent[] = []
  const transport = new Transport({
    message: (message) => messages.push({ ...message, payload: message.payload.slice() }),
    event: (event) => events.push(event),
  })
  frames.forEach(([id, data], i) => {
    const payload = bytes(data)
    transport.frame(0, id, (i + 1) * spacing, payload, 0, payload.length)
  })
  transport.finish()
  return { messages, events }
}

interface Session {
  readonly what: string
  readonly announcement: Frame
  readonly data: number
  readonly packets: readonly string[]
  readonly pgn: number
  readonly sa: number
  readonly payload: string
  readonly source: string
}

const SESSIONS: readonly Session[] = [
  {
    what: 'DM1 with four faults',
    announcement: [0x1cecff80, '20 12 00 03 FF CA FE 00'],
    data: 0x1cebff80,
    packets: ['01 00 00 73 F0 E2 03 74', '02 F0 E2 07 75 F0 E2 03', '03 60 F2 E4 03 FF FF FF'],
    pgn: 65226,
    sa: 128,
    payload: '00 00 73 F0 E2 03 74 F0 E2 07 75 F0 E2 03 60 F2 E4 03',
    source: KEYPAD,
  },
  {
    what: 'text in a proprietary group, at priority 6',
    announcement: [0x18ecfff9, '20 26 00 06 FF FF FF 00'],
    data: 0x18ebfff9,
    packets: [
      '01 56 65 68 69 63 6C 65',
      '02 20 43 6F 6D 6D 75 6E',
      '03 69 63 61 74 69 6F 6E',
      '04 20 69 73 20 73 74 69',
      '05 6C 6C 20 41 77 65 73',
      '06 6F 6D 65 FF FF FF FF',
    ],
    pgn: 65535,
    sa: 249,
    payload:
      '56 65 68 69 63 6C 65 20 43 6F 6D 6D 75 6E 69 63 61 74 69 6F 6E 20 69 73 20 73 74 69 6C 6C 20 41 77 65 73 6F 6D 65',
    source: LAB,
  },
  {
    what: 'DM1 with 47 faults of a real engine',
    announcement: [0x1cecff00, '20 BE 00 1C FF CA FE 00'],
    data: 0x1cebff00,
    packets: [
      '01 57 FF 9D 00 03 01 FB',
      '02 06 0B 7E 4A 00 0E 7E',
      '03 E1 06 0E 7E 66 00 04',
      '04 01 51 00 04 01 B9 04',
      '05 04 01 69 00 03 01 46',
      '06 0A 03 01 AB 00 03 01',
      '07 CF 04 02 01 D3 04 02',
      '08 01 84 06 02 01 6E 00',
      '09 03 01 5E 00 04 01 AE',
      '0A 00 03 01 F5 13 13 01',
      '0B 91 0C 13 01 61 02 09',
      '0C 01 7F 02 09 01 84 06',
      '0D 09 01 84 06 09 01 F8',
      '0E 13 09 01 84 06 09 01',
      '0F 84 06 09 01 84 06 09',
      '10 01 84 06 09 01 FD 13',
      '11 09 01 84 06 09 01 84',
      '12 06 09 01 84 06 09 01',
      '13 D4 04 09 01 84 06 09',
      '14 01 84 06 09 01 AF 00',
      '15 03 01 9C 01 03 01 9B',
      '16 01 04 01 89 03 13 01',
      '17 8A 03 13 01 8B 03 13',
      '18 01 8C 03 13 01 84 06',
      '19 09 01 84 06 09 01 84',
      '1A 06 09 01 75 02 05 01',
      '1B F9 13 09 01 FA 13 09',
      '1C 01 FF FF FF FF FF FF',
    ],
    pgn: 65226,
    sa: 0,
    payload:
      '57 FF 9D 00 03 01 FB 06 0B 7E 4A 00 0E 7E E1 06 0E 7E 66 00 04 01 51 00 04 01 B9 04 04 01 69 00 03 01 46 0A 03 01 AB 00 03 01 CF 04 02 01 D3 04 02 01 84 06 02 01 6E 00 03 01 5E 00 04 01 AE 00 03 01 F5 13 13 01 91 0C 13 01 61 02 09 01 7F 02 09 01 84 06 09 01 84 06 09 01 F8 13 09 01 84 06 09 01 84 06 09 01 84 06 09 01 84 06 09 01 FD 13 09 01 84 06 09 01 84 06 09 01 84 06 09 01 D4 04 09 01 84 06 09 01 84 06 09 01 AF 00 03 01 9C 01 03 01 9B 01 04 01 89 03 13 01 8A 03 13 01 8B 03 13 01 8C 03 13 01 84 06 09 01 84 06 09 01 84 06 09 01 75 02 05 01 F9 13 09 01 FA 13 09 01',
    source: LAB,
  },
  {
    what: 'retarder configuration, 19 bytes',
    announcement: [0x1cecff0f, '20 13 00 03 FF E1 FE 00'],
    data: 0x1cebff0f,
    packets: ['01 FF 0F C0 12 63 E0 47', '02 25 60 22 56 E0 2E 2B', '03 A0 41 34 06 1F FF FF'],
    pgn: 65249,
    sa: 15,
    payload: 'FF 0F C0 12 63 E0 47 25 60 22 56 E0 2E 2B A0 41 34 06 1F',
    source: LAB,
  },
  {
    what: 'engine configuration 1, 39 bytes',
    announcement: [0x1cecff00, '20 27 00 06 FF E3 FE 00'],
    data: 0x1cebff00,
    packets: [
      '01 50 14 A0 60 3B A3 40',
      '02 1F B0 50 2D B0 B0 36',
      '03 AB C0 44 00 05 14 0A',
      '04 C0 44 03 41 96 7D E1',
      '05 E0 2E A2 03 FF FF 80',
      '06 E0 FF FF FF FF FF FF',
    ],
    pgn: 65251,
    sa: 0,
    payload:
      '50 14 A0 60 3B A3 40 1F B0 50 2D B0 B0 36 AB C0 44 00 05 14 0A C0 44 03 41 96 7D E1 E0 2E A2 03 FF FF 80 E0 FF FF FF',
    source: LAB,
  },
  {
    what: 'engine configuration 1, the older 34 bytes (last padding byte assumed)',
    announcement: [0x1cecff00, '20 22 00 05 FF E3 FE 00'],
    data: 0x1cebff00,
    packets: [
      '01 38 18 B6 40 51 C8 E8',
      '02 1C BB 60 22 C9 C0 44',
      '03 D1 40 51 FF FF 55 04',
      '04 38 5E 14 46 FA 7D C9',
      '05 40 51 86 00 F7 02 FF',
    ],
    pgn: 65251,
    sa: 0,
    payload: '38 18 B6 40 51 C8 E8 1C BB 60 22 C9 C0 44 D1 40 51 FF FF 55 04 38 5E 14 46 FA 7D C9 40 51 86 00 F7 02',
    source: CAPTURE,
  },
  {
    what: 'retarder configuration of an engine brake (padding assumed)',
    announcement: [0x1cecff29, '20 13 00 03 FF E1 FE 00'],
    data: 0x1cebff29,
    packets: ['01 14 01 38 18 3C 40 51', '02 2A D0 3A 33 80 4C 2C', '03 40 51 C2 01 2A FF FF'],
    pgn: 65249,
    sa: 41,
    payload: '14 01 38 18 3C 40 51 2A D0 3A 33 80 4C 2C 40 51 C2 01 2A',
    source: CAPTURE,
  },
  {
    what: 'DM1 with six faults (identifier of the data and padding rebuilt)',
    announcement: [0x18ecff0b, '20 1A 00 04 FF CA FE 00'],
    data: 0x18ebff0b,
    packets: [
      '01 04 FF 15 03 02 7E 16',
      '02 03 02 7E 17 03 02 7E',
      '03 18 03 02 7E 22 03 04',
      '04 7E 18 03 07 01 FF FF',
    ],
    pgn: 65226,
    sa: 11,
    payload: '04 FF 15 03 02 7E 16 03 02 7E 17 03 02 7E 18 03 02 7E 22 03 04 7E 18 03 07 01',
    source: ATTACKS,
  },
]

const framesOf = ({ announcement, data, packets }: Session): Frame[] => [
  announcement,
  ...packets.map((packet): Frame => [data, packet]),
]

describe('broadcasts', () => {
  it.each(SESSIONS)('$what ($source)', (session) => {
    const { messages, events } = play(framesOf(session))
    const { pgn, sa } = session
    expect(messages).toMatchObject([{ pgn, sa, da: 255, transport: 'bam' }])
    expect(messages.map(({ payload }) => hex(payload))).toEqual([session.payload])
    expect(messages[0].priority).toBe((session.announcement[0] >>> 26) & 7)
    expect(events).toEqual([])
  })

  it(`two sources at once, as they were recorded: faults of one engine, retarder configuration (${LAB})`, () => {
    const [, , faults, retarder] = SESSIONS
    const frames = framesOf(faults)
    for (const [i, frame] of framesOf(retarder).entries()) frames.splice(6 + i * 3, 0, frame)
    const { messages, events } = play(frames)
    expect(messages.map(({ sa, payload }) => [sa, hex(payload)])).toEqual([
      [15, retarder.payload],
      [0, faults.payload],
    ])
    expect(events).toEqual([])
  })

  it.each([
    [42_000, 'the closest packets seen on a truck', CAPTURE],
    [50_000, 'the standard minimum', QUOTED],
    [100_000, 'one controller on a truck', CAPTURE],
    [200_000, 'the standard maximum', QUOTED],
    [750_000, 'the standard time-out, T1', QUOTED],
  ])('packets %i µs apart are taken: %s (%s)', (spacing) => {
    const { messages, events } = play(framesOf(SESSIONS[0]), spacing)
    expect(messages).toHaveLength(1)
    expect(events).toEqual([])
  })
})

describe('directed messages', () => {
  it(`request, clearance, data, acknowledgement (worked from the layout: ${LAB}; ${KEYPAD})`, () => {
    const { messages, events } = play([
      [0x1cecf900, '10 14 00 03 FF EC FE 00'],
      [0x1cec00f9, '11 03 01 FF FF EC FE 00'],
      [0x1cebf900, '01 31 32 33 34 35 36 37'],
      [0x1cebf900, '02 41 42 43 44 45 46 47'],
      [0x1cebf900, '03 51 52 53 54 55 56 FF'],
      [0x1cec00f9, '13 14 00 03 FF EC FE 00'],
    ])
    expect(messages).toMatchObject([{ pgn: 65260, sa: 0, da: 249, transport: 'rts-cts', priority: 7 }])
    expect(hex(messages[0].payload)).toBe('31 32 33 34 35 36 37 41 42 43 44 45 46 47 51 52 53 54 55 56')
    expect(events).toEqual([])
  })

  it(`a clearance for 12 packets from the fifth of a message of four is reported (${ATTACKS})`, () => {
    const { messages, events } = play([
      [0x18ecf900, '10 1C 00 04 FF E3 FE 00'],
      [0x18ec00f9, '11 0C 05 FF FF E3 FE 00'],
    ])
    expect(messages).toEqual([])
    expect(events).toMatchObject([
      { code: 'cts-beyond-message', sa: 0, da: 249, pgn: 65251, size: 28, packets: 4 },
      { code: 'recording-ended', received: 0 },
    ])
  })

  it(`an abort with a reason the standard does not know ends the session (${CAPTURE})`, () => {
    const { events } = play([
      [0x18ec0001, '10 F9 06 FF FF 01 FE 00'],
      [0x18ec0100, 'FF FE FF FF FF 01 FE 00'],
    ])
    // 1,785 bytes in 255 packets is all the protocol can carry, and no mistake.
    expect(events).toMatchObject([
      { code: 'aborted', sa: 1, da: 0, pgn: 65025, size: 1785, packets: 255, reason: 254, by: 0 },
    ])
    expect(abortReason(254)).toBe('reason 254, not defined')
  })

  it(`a request to send to all addresses, as one manual prints it, is taken and reported (${KEYPAD})`, () => {
    const [session] = SESSIONS
    const frames = framesOf(session)
    frames[0] = [0x1cecff80, `10 ${session.announcement[1].slice(3)}`]
    const { messages, events } = play(frames)
    expect(messages.map(({ payload }) => hex(payload))).toEqual([session.payload])
    expect(events).toMatchObject([{ code: 'global-rts', da: 255 }])
  })
})

describe('extended protocol', () => {
  // 2,000 bytes in 286 packets; announcement, clearances, offsets and acknowledgement as worked out in
  // the source, the data bytes our own.
  const payload = Uint8Array.from({ length: 2000 }, (_, i) => (i * 7 + (i >>> 8)) & 0xff)
  const number = (value: number) => hex(Uint8Array.of(value, value >>> 8, value >>> 16))

  function frames(): Frame[] {
    const all: Frame[] = [[0x18c8f900, '14 D0 07 00 00 00 EF 00']]
    for (let first = 0; first < 286; first += 16) {
      const count = Math.min(16, 286 - first)
      all.push([0x18c800f9, `15 ${hex(Uint8Array.of(count))} ${number(first + 1)} 00 EF 00`])
      all.push([0x18c8f900, `16 ${hex(Uint8Array.of(count))} ${number(first)} 00 EF 00`])
      for (let i = 1; i <= count; i++) {
        const packet = new Uint8Array(8).fill(0xff)
        packet[0] = i
        packet.set(payload.subarray((first + i - 1) * 7, (first + i) * 7), 1)
        all.push([0x18c7f900, hex(packet)])
      }
    }
    all.push([0x18c800f9, '17 D0 07 00 00 00 EF 00'])
    return all
  }

  it(`puts 2,000 bytes together (computed; layout ${MEMORY})`, () => {
    const all = frames()
    expect(all.slice(0, 3)).toEqual([
      [0x18c8f900, '14 D0 07 00 00 00 EF 00'],
      [0x18c800f9, '15 10 01 00 00 00 EF 00'],
      [0x18c8f900, '16 10 00 00 00 00 EF 00'],
    ])
    expect(all).toHaveLength(1 + 286 + 2 * 18 + 1)
    const { messages, events } = play(all, 10_000)
    expect(messages).toMatchObject([{ pgn: 61184, sa: 0, da: 249, transport: 'extended' }])
    expect(messages[0].payload).toEqual(payload)
    expect(events).toEqual([])
  })
})

describe('limits of the protocols', () => {
  it.each([
    ['10 F9 06 FF FF 01 FE 00', [], '1,785 bytes', `${LAB}; ${KERNEL}`],
    ['10 FA 06 00 FF 01 FE 00', ['impossible-size'], '1,786 bytes', `${LAB}; ${KERNEL}`],
    ['10 09 00 02 FF 01 FE 00', [], '9 bytes', `${LAB}; ${KERNEL}; ${TUTORIAL}`],
    ['10 08 00 02 FF 01 FE 00', ['small-message'], '8 bytes', `${LAB}; ${KERNEL}; ${TUTORIAL}`],
  ])('request to send %s gives %j: %s (%s)', (data, codes) => {
    const { events } = play([
      [0x18ec0001, data],
      [0x18ec0100, 'FF 01 FF FF FF 01 FE 00'],
    ])
    expect(events.map(({ code }) => code).filter((code) => code !== 'aborted')).toEqual(codes)
  })

  it.each([
    ['14 F9 FF FF 06 00 EF 00', 'over-size-limit', '117,440,505 bytes, within the protocol', KERNEL],
    ['14 FA FF FF 06 00 EF 00', 'impossible-size', 'one byte more', KERNEL],
    ['14 FA 06 00 00 00 EF 00', 'aborted', '1,786 bytes', KERNEL],
    ['14 F9 06 00 00 00 EF 00', 'small-message', '1,785 bytes', KERNEL],
  ])('extended request to send %s gives %s: %s (%s)', (data, code) => {
    const { events } = play([
      [0x18c80001, data],
      [0x18c80100, 'FF 01 FF FF FF 00 EF 00'],
    ])
    expect(events[0].code).toBe(code)
  })

  it.each([
    ['control', TP_CONTROL_PGN, 60416, `${LAB}; ${KERNEL}`],
    ['data', TP_DATA_PGN, 60160, `${LAB}; ${KERNEL}`],
    ['extended control', ETP_CONTROL_PGN, 51200, MEMORY],
    ['extended data', ETP_DATA_PGN, 50944, MEMORY],
    ['largest payload', TRANSPORT_LIMITS.maxPayload, 1785, `${LAB}; ${KERNEL}; ${TUTORIAL}`],
  ])('%s: %i, published %i (%s)', (_, value, published) => {
    expect(value).toBe(published)
  })

  it.each([
    ['T1, from packet to packet', TRANSPORT_LIMITS.broadcastTimeout, 750_000, QUOTED],
    ['T2, from clearance to data', TRANSPORT_LIMITS.directedTimeout, 1_250_000, MEMORY],
    ['T3, from data to clearance', TRANSPORT_LIMITS.directedTimeout, 1_250_000, MEMORY],
    ['T4, after a hold', TRANSPORT_LIMITS.directedTimeout, 1_050_000, MEMORY],
  ])('%s: %i µs, the standard %i µs (%s)', (_, value, published) => {
    expect(value).toBeGreaterThan(published)
  })
})

describe('abort reasons', () => {
  it.each([
    [1, 'already in a session', `${LAB}; ${KERNEL}`],
    [2, 'resources', `${LAB}; ${KERNEL}`],
    [3, 'time-out', `${LAB}; ${KEYPAD}`],
    [4, 'clearance to send while data', `${LAB}; ${KERNEL}`],
    [5, 'limit of repeats', `${LAB}; ${KERNEL}`],
    [6, 'unexpected data packet', `${KERNEL}; number ${MEMORY}`],
    [7, 'bad sequence number', `${KERNEL}; number ${MEMORY}`],
    [8, 'duplicate sequence number', `${KERNEL}; number ${MEMORY}`],
    [9, 'longer than 1,785', MEMORY],
    [10, 'unexpected data packet offset', `${KERNEL}; number ${MEMORY}`],
    [11, 'offset for another group', `${KERNEL}; number ${MEMORY}`],
    [12, 'more packets than cleared', `${KERNEL}; number ${MEMORY}`],
    [13, 'bad data packet offset', `${KERNEL}; number ${MEMORY}`],
    [14, 'deprecated', MEMORY],
    [15, 'clearance to send for another group', `${KERNEL}; number ${MEMORY}`],
    [16, 'beyond the message', MEMORY],
    [250, 'another reason', MEMORY],
    [251, 'not defined', MEMORY],
    [17, 'not defined', MEMORY],
  ])('%i: %s (%s)', (reason, words) => {
    expect(abortReason(reason)).toContain(words)
  })
})
