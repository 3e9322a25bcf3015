/** Every event code: a recording in which it happens, and what else happens then. */
import { describe, expect, it } from 'vitest'
import { Transport } from './transport.js'
import { TRANSPORT_EVENTS, type TransportCode, type TransportEvent } from './transport-events.js'
import type { TransportLimits } from './transport-limits.js'

const SPACING = 10_000

interface Case {
  /** Frames 10 ms apart, as `id#data`; the silence in milliseconds before one, as `+2000 id#data`. */
  readonly frames: readonly string[]
  readonly limits?: Partial<TransportLimits>
  /** All events in order; the one of the case's own code comes with what it says. */
  readonly codes: readonly TransportCode[]
  readonly says: Partial<TransportEvent>
  /** Messages delivered. */
  readonly messages: number
}

/** 18 bytes from 80h to all. */
const BAM = '1CECFF80#20120003FFCAFE00'
const B1 = '1CEBFF80#0111121314151617'
const B2 = '1CEBFF80#0221222324252627'
const B3 = '1CEBFF80#0331323334FFFFFF'
/** 20 bytes from 00h to F9h. */
const RTS = '1CECF900#10140003FFECFE00'
const CTS = '1CEC00F9#110301FFFFECFE00'
const P1 = '1CEBF900#0141424344454647'
const P2 = '1CEBF900#0251525354555657'
const P3 = '1CEBF900#03616263646566FF'
const EOMA = '1CEC00F9#13140003FFECFE00'
/** 2,000 bytes from 00h to F9h. */
const ETP_RTS = '18C8F900#14D007000000EF00'
const ETP_CTS = '18C800F9#151001000000EF00'
const ETP_DPO = '18C8F900#161000000000EF00'
const E1 = '18C7F900#0171727374757677'
const E2 = '18C7F900#0281828384858687'

const CASES: Readonly<Record<TransportCode, Case>> = {
  replaced: {
    frames: [BAM, B1, BAM, B1, B2, B3],
    codes: ['replaced'],
    says: { sa: 0x80, da: 255, pgn: 65226, transport: 'bam', size: 18, packets: 3, received: 1, time: 3 * SPACING },
    messages: 1,
  },
  'timed-out': {
    frames: [BAM, B1, '+1501 1CEBFF80#0221222324252627'],
    codes: ['timed-out', 'data-without-session'],
    says: { pgn: 65226, received: 1, firstTime: SPACING, lastTime: 2 * SPACING, time: 2 * SPACING + 1_500_000 },
    messages: 0,
  },
  'recording-ended': {
    frames: [RTS, CTS, P1, P2],
    codes: ['recording-ended'],
    says: { sa: 0, da: 0xf9, pgn: 65260, transport: 'rts-cts', packets: 3, received: 2, time: 4 * SPACING },
    messages: 0,
  },
  aborted: {
    frames: [RTS, CTS, P1, '1CEC00F9#FF03FFFFFFECFE00', P2],
    codes: ['aborted', 'data-without-session'],
    says: { sa: 0, da: 0xf9, reason: 3, by: 0xf9, received: 1 },
    messages: 0,
  },
  'missing-packets': {
    frames: [RTS, CTS, P1, P3, EOMA],
    codes: ['gap', 'missing-packets'],
    says: { sa: 0, da: 0xf9, packets: 3, received: 2 },
    messages: 0,
  },
  'conflicting-packet': {
    frames: [BAM, B1, '1CEBFF80#0111121314151699', B2, B3],
    codes: ['conflicting-packet'],
    says: { sa: 0x80, received: 1, time: 3 * SPACING },
    messages: 0,
  },
  'impossible-size': {
    frames: ['1CECFF80#20000000FFCAFE00', B1],
    codes: ['impossible-size'],
    says: { size: 0, packets: 0 },
    messages: 0,
  },
  'wrong-packet-total': {
    frames: ['1CECFF80#20080003FFCAFE00', B1, B2, B3],
    codes: ['wrong-packet-total'],
    says: { size: 8, packets: 3, received: 0 },
    messages: 0,
  },
  'impossible-group': {
    frames: ['1CECFF80#20120003FFCAFE04', B1],
    codes: ['impossible-group'],
    says: { pgn: 0x4feca },
    messages: 0,
  },
  'over-size-limit': {
    frames: ['1CEC2580#20120003FFCAFE00', '1CEB2580#0111121314151617'],
    limits: { maxPayload: 17 },
    codes: ['over-size-limit'],
    says: { sa: 0x80, da: 0x25, size: 18, received: 0 },
    messages: 0,
  },
  'too-many-sessions': {
    frames: [BAM, '1CECF980#10140003FFECFE00', B1, B2, B3],
    limits: { maxSessionsPerNode: 1 },
    codes: ['too-many-sessions'],
    says: { sa: 0x80, da: 0xf9, pgn: 65260, size: 20 },
    messages: 1,
  },
  'data-without-session': {
    frames: [B2, B3, BAM, B1, B2, B3],
    codes: ['data-without-session'],
    says: { sa: 0x80, da: 255, pgn: null, size: 0, packets: 0, received: 2, firstTime: SPACING, lastTime: 2 * SPACING },
    messages: 1,
  },
  'control-without-session': {
    frames: [CTS, EOMA],
    codes: ['control-without-session'],
    says: { sa: 0, da: 0xf9, pgn: 65260, transport: 'rts-cts', received: 0, lastTime: 2 * SPACING },
    messages: 0,
  },
  'directed-bam': {
    frames: ['18EC258B#200A0002FF00D400', '18EB258B#0111121314151617', '18EB258B#02212223FFFFFFFF'],
    codes: ['directed-bam'],
    says: { sa: 0x8b, da: 0x25, pgn: 54272, transport: 'bam' },
    messages: 1,
  },
  'global-rts': {
    frames: ['1CECFF80#10120003FFCAFE00', B1, B2, B3],
    codes: ['global-rts'],
    says: { sa: 0x80, da: 255, transport: 'rts-cts' },
    messages: 1,
  },
  'small-message': {
    frames: ['1CECFF80#20080002FFCAFE00', B1, '1CEBFF80#0221FFFFFFFFFFFF'],
    codes: ['small-message'],
    says: { size: 8 },
    messages: 1,
  },
  gap: {
    frames: [BAM, B1, B3],
    codes: ['gap', 'recording-ended'],
    says: { received: 1, time: 3 * SPACING },
    messages: 0,
  },
  'out-of-order': {
    frames: [BAM, B1, B3, B2],
    codes: ['gap', 'out-of-order'],
    says: { received: 2, time: 4 * SPACING },
    messages: 1,
  },
  'duplicate-packet': {
    frames: [BAM, B1, B1, B2, B2, B3, B3],
    codes: ['duplicate-packet'],
    says: { received: 1, time: 3 * SPACING },
    messages: 1,
  },
  'bad-sequence-number': {
    frames: [BAM, '1CEBFF80#0011121314151617', '1CEBFF80#0411121314151617', B1, B2, B3],
    codes: ['bad-sequence-number'],
    says: { received: 0, time: 2 * SPACING },
    messages: 1,
  },
  'short-frame': {
    frames: [BAM, B1, '1CEBFF80#02212223242526', '1CEBFF80#', B2, B3, '1CECFF80#20120003FFCAFE'],
    codes: ['short-frame', 'short-frame'],
    says: { sa: 0x80, received: 1, time: 3 * SPACING },
    messages: 1,
  },
  'unknown-control': {
    // The last three are controls of the other protocol.
    frames: [
      '1CECFF80#21120003FFCAFE00',
      '1CECFF80#16120003FFCAFE00',
      '18C8F900#20D007000000EF00',
      '18C8F900#13D007000000EF00',
    ],
    codes: ['unknown-control', 'unknown-control', 'unknown-control', 'unknown-control'],
    says: { sa: 0x80, da: 255, pgn: null, transport: 'bam', received: 0 },
    messages: 0,
  },
  'repeat-requested': {
    frames: [RTS, CTS, P1, P2, '1CEC00F9#110202FFFFECFE00', P2, P3, EOMA],
    codes: ['repeat-requested'],
    says: { sa: 0, da: 0xf9, received: 2 },
    messages: 1,
  },
  'cts-beyond-message': {
    frames: [RTS, '1CEC00F9#110401FFFFECFE00', P1, P2, P3],
    codes: ['cts-beyond-message'],
    says: { sa: 0, da: 0xf9, packets: 3 },
    messages: 1,
  },
  'wrong-group': {
    frames: [RTS, '1CEC00F9#110301FFFFEBFE00', CTS, P1, P2, P3, '1CEC00F9#FF01FFFFFFEBFE00'],
    codes: ['wrong-group', 'wrong-group'],
    says: { sa: 0, da: 0xf9, pgn: 65260 },
    messages: 1,
  },
  'wrong-size-acknowledged': {
    frames: [RTS, CTS, P1, P2, P3, '1CEC00F9#13150003FFECFE00'],
    codes: ['wrong-size-acknowledged'],
    says: { sa: 0, da: 0xf9, size: 20 },
    messages: 1,
  },
  'aborted-when-whole': {
    frames: [RTS, CTS, P1, P2, P3, '1CECF900#FF03FFFFFFECFE00'],
    codes: ['aborted-when-whole'],
    says: { sa: 0, da: 0xf9, reason: 3, by: 0, received: 3 },
    messages: 1,
  },
  'wrong-offset': {
    frames: [ETP_RTS, ETP_CTS, ETP_DPO, E1, E2, '18C8F900#161001000000EF00', '18C7F900#0181828384858687'],
    codes: ['wrong-offset', 'recording-ended'],
    says: { sa: 0, da: 0xf9, transport: 'extended', size: 2000, packets: 286, received: 2 },
    messages: 0,
  },
  'data-without-offset': {
    frames: [ETP_RTS, ETP_CTS, E1, E2],
    codes: ['data-without-offset', 'recording-ended'],
    says: { sa: 0, da: 0xf9, transport: 'extended', received: 0 },
    messages: 0,
  },
}

function play({ frames, limits = {} }: Case): { messages: number; events: TransportEvent[] } {
  let messages = 0
  const events: TransportEvent[] = []
  const transport = new Transport({ message: () => messages++, event: (event) => events.push(event) }, limits)
  let time = 0
  for (const frame of frames) {
    const [wait, text] = frame.startsWith('+') ? frame.split(' ') : ['+0', frame]
    const [id, data] = text.split('#')
    time += Number(wait) * 1000 + SPACING
    const bytes = Uint8Array.from(data.match(/../g) ?? [], (byte) => Number.parseInt(byte, 16))
    transport.frame(3, Number.parseInt(id, 16), time, bytes, 0, bytes.length)
  }
  transport.finish()
  return { messages, events }
}

const isAnnouncement = (frame: string) => /^..(EC....#(10|20)|C8....#14).{14}$/.test(frame)

describe('transport events', () => {
  it.each(Object.entries(CASES))('%s', (code, example) => {
    const { messages, events } = play(example)
    expect(events.map((event) => event.code)).toEqual(example.codes)
    expect(events.find((event) => event.code === code)).toMatchObject({ channel: 3, ...example.says })
    expect(messages).toBe(example.messages)
  })

  it.each(Object.entries(CASES))('%s: each announced message is delivered or reported as lost once', (_, example) => {
    const { messages, events } = play(example)
    const lost = events.filter(({ code }) => TRANSPORT_EVENTS[code].incomplete)
    expect(messages + lost.length).toBe(example.frames.filter(isAnnouncement).length)
  })

  it('has a line of meaning for each code', () => {
    expect(Object.keys(CASES)).toEqual(Object.keys(TRANSPORT_EVENTS))
    for (const { meaning } of Object.values(TRANSPORT_EVENTS)) expect(meaning).toMatch(/^[A-Z].+\.$/)
  })
})
