import { describe, expect, it } from 'vitest'
import type { Message } from './message.js'
import { ACKNOWLEDGEMENT_PGN, ANSWER_TIME, type RequestLimits, type RequestRow, Requests } from './requests.js'

const MS = 1000
const SECOND = 1_000_000
/** Component identification, by broadcast; proprietary, to one node. */
const COMPONENT_ID = 65259
const DIRECTED = 0xef00

function message(pgn: number, sa: number, da: number, time: number, payload: Iterable<number>, channel = 0): Message {
  return {
    channel,
    priority: 6,
    pgn,
    sa,
    da,
    firstTime: time,
    time,
    payload: Uint8Array.from(payload),
    transport: 'single',
  }
}

const group = (pgn: number) => [pgn & 0xff, (pgn >>> 8) & 0xff, pgn >>> 16]

function bus(limits: Partial<RequestLimits> = {}) {
  const requests = new Requests(limits)
  return {
    requests,
    ask: (pgn: number, asker: number, asked: number, time: number, channel = 0) =>
      requests.request(message(59904, asker, asked, time, group(pgn), channel)),
    answer: (pgn: number, sa: number, da: number, time: number, channel = 0) =>
      requests.answer(message(pgn, sa, da, time, [], channel)),
    /** Acknowledgement of `sa` with the asker's address in byte 5. */
    acknowledge: (control: number, pgn: number, sa: number, da: number, asker: number, time: number) =>
      requests.acknowledge(message(ACKNOWLEDGEMENT_PGN, sa, da, time, [control, 255, 255, 255, asker, ...group(pgn)])),
    row: (): RequestRow => requests.results()[0],
  }
}

const NOTHING = {
  answered: 0,
  acknowledged: 0,
  refused: { negative: 0, accessDenied: 0, cannotRespond: 0 },
  unanswered: 0,
  fastest: null,
  slowest: null,
}

describe('requests', () => {
  it('are counted by channel, asker, asked and group', () => {
    const { requests, ask } = bus()
    ask(COMPONENT_ID, 0xf9, 0x00, SECOND)
    ask(COMPONENT_ID, 0xf9, 0x00, 3 * SECOND)
    ask(COMPONENT_ID, 0xf9, 0x03, SECOND)
    ask(COMPONENT_ID, 0x17, 0x00, SECOND)
    ask(65260, 0xf9, 0x00, SECOND)
    ask(COMPONENT_ID, 0xf9, 0x00, SECOND, 1)
    const rows = requests
      .results()
      .map((r) => [r.channel, r.asker, r.asked, r.pgn, r.requests, r.firstTime, r.lastTime])
    expect(rows).toEqual([
      [0, 0xf9, 0x00, COMPONENT_ID, 2, SECOND, 3 * SECOND],
      [0, 0xf9, 0x03, COMPONENT_ID, 1, SECOND, SECOND],
      [0, 0x17, 0x00, COMPONENT_ID, 1, SECOND, SECOND],
      [0, 0xf9, 0x00, 65260, 1, SECOND, SECOND],
      [1, 0xf9, 0x00, COMPONENT_ID, 1, SECOND, SECOND],
    ])
    expect(requests.results()[1]).toMatchObject(NOTHING)
  })

  it('may be padded to eight bytes, or name a directed group with an address in it', () => {
    const { requests } = bus()
    requests.request(message(59904, 0xf9, 0, SECOND, [0xeb, 0xfe, 0x00, 0, 0, 0, 0, 0]))
    requests.request(message(59904, 0xf9, 0, SECOND, [0x25, 0xef, 0x00]))
    expect(requests.results().map(({ pgn }) => pgn)).toEqual([COMPONENT_ID, DIRECTED])
  })

  it('with too few bytes are counted apart, as are such acknowledgements', () => {
    const { requests } = bus()
    requests.request(message(59904, 0xf9, 0, SECOND, [0xeb, 0xfe]))
    requests.acknowledge(message(ACKNOWLEDGEMENT_PGN, 0, 255, SECOND, [1, 255, 255, 255, 0xf9, 0xeb, 0xfe]))
    expect(requests.malformed).toBe(2)
    expect(requests.results()).toEqual([])
  })

  it('are watched for only while an answer can come', () => {
    const { requests, ask, answer } = bus()
    expect(requests.watching(COMPONENT_ID)).toBe(false)
    ask(COMPONENT_ID, 0xf9, 0x00, SECOND)
    ask(COMPONENT_ID, 0xf9, 0x03, SECOND)
    expect(requests.watching(COMPONENT_ID)).toBe(true)
    expect(requests.watching(65260)).toBe(false)
    answer(COMPONENT_ID, 0x00, 255, SECOND + MS)
    expect(requests.watching(COMPONENT_ID)).toBe(true)
    requests.tick(100 * SECOND)
    expect(requests.watching(COMPONENT_ID)).toBe(false)
  })
})

describe('answers', () => {
  it('come from the node that was asked', () => {
    const { requests, ask, answer, row } = bus()
    ask(COMPONENT_ID, 0xf9, 0x00, SECOND)
    answer(COMPONENT_ID, 0x03, 255, SECOND + MS)
    answer(COMPONENT_ID, 0x00, 255, SECOND + 2 * MS, 1)
    answer(65260, 0x00, 255, SECOND + 3 * MS)
    expect(row()).toMatchObject(NOTHING)
    answer(COMPONENT_ID, 0x00, 255, SECOND + 40 * MS)
    answer(COMPONENT_ID, 0x00, 255, SECOND + 50 * MS)
    requests.tick(100 * SECOND)
    expect(row()).toMatchObject({ ...NOTHING, requests: 1, answered: 1, fastest: 40 * MS, slowest: 40 * MS })
  })

  it('come from any other node where all were asked', () => {
    const { ask, answer, row } = bus()
    ask(COMPONENT_ID, 0xf9, 255, SECOND)
    answer(COMPONENT_ID, 0xf9, 255, SECOND + 1 * MS)
    expect(row().answered).toBe(0)
    answer(COMPONENT_ID, 0x03, 255, SECOND + 2 * MS)
    answer(COMPONENT_ID, 0x00, 255, SECOND + 3 * MS)
    expect(row()).toMatchObject({ requests: 1, answered: 1, slowest: 2 * MS })
  })

  it('go to the asker or to all', () => {
    const { ask, answer, row } = bus()
    ask(DIRECTED, 0xf9, 0x00, SECOND)
    answer(DIRECTED, 0x00, 0x17, SECOND + MS)
    expect(row().answered).toBe(0)
    answer(DIRECTED, 0x00, 0xf9, SECOND + 2 * MS)
    expect(row().answered).toBe(1)
  })

  it('give the fastest and the slowest time', () => {
    const { ask, answer, row } = bus()
    for (const [i, delay] of [30, 0, 20].entries()) {
      ask(COMPONENT_ID, 0xf9, 0x00, i * 5 * SECOND)
      answer(COMPONENT_ID, 0x00, 255, i * 5 * SECOND + delay * MS)
    }
    expect(row()).toMatchObject({ requests: 3, answered: 3, fastest: 0, slowest: 30 * MS })
  })

  it.each([
    [ANSWER_TIME, { answered: 1, unanswered: 0 }],
    [ANSWER_TIME + 1, { answered: 0, unanswered: 1 }],
  ])('after %i µs: %j', (delay, expected) => {
    const { requests, ask, answer, row } = bus()
    ask(COMPONENT_ID, 0xf9, 0x00, SECOND)
    answer(COMPONENT_ID, 0x00, 255, SECOND + delay)
    requests.tick(10 * SECOND)
    expect(row()).toMatchObject(expected)
  })

  it('count by their first frame: a long one may be whole much later', () => {
    const { requests, ask, row } = bus()
    ask(COMPONENT_ID, 0xf9, 0x00, SECOND)
    requests.tick(3 * SECOND)
    expect(row()).toMatchObject({ answered: 0, unanswered: 1 })
    const long = message(COMPONENT_ID, 0x00, 255, SECOND + 100 * MS, [])
    requests.answer({ ...long, time: 7 * SECOND, transport: 'bam' })
    requests.tick(100 * SECOND)
    expect(row()).toMatchObject({ answered: 1, unanswered: 0, fastest: 100 * MS })
  })

  it('that began before the request are none', () => {
    const { requests, ask, row } = bus()
    const long = message(COMPONENT_ID, 0x00, 255, SECOND - 1, [])
    ask(COMPONENT_ID, 0xf9, 0x00, SECOND)
    requests.answer({ ...long, time: 2 * SECOND, transport: 'bam' })
    requests.tick(10 * SECOND)
    expect(row()).toMatchObject({ answered: 0, unanswered: 1 })
  })

  it('settle every request they can be the answer to', () => {
    const { requests, ask, answer, row } = bus()
    for (const time of [0, 1000 * MS, 1200 * MS, 2400 * MS]) ask(COMPONENT_ID, 0xf9, 0x00, time)
    answer(COMPONENT_ID, 0x00, 255, 2300 * MS)
    requests.tick(10 * SECOND)
    expect(row()).toMatchObject({ requests: 4, answered: 1, unanswered: 3, fastest: 1100 * MS })
  })
})

describe('acknowledgements', () => {
  it.each([
    [0, { acknowledged: 1 }],
    [1, { refused: { negative: 1, accessDenied: 0, cannotRespond: 0 } }],
    [2, { refused: { negative: 0, accessDenied: 1, cannotRespond: 0 } }],
    [3, { refused: { negative: 0, accessDenied: 0, cannotRespond: 1 } }],
  ])('with control byte %i give %j', (control, expected) => {
    const { requests, ask, acknowledge, row } = bus()
    ask(COMPONENT_ID, 0xf9, 0x00, SECOND)
    acknowledge(control, COMPONENT_ID, 0x00, 255, 0xf9, SECOND + 5 * MS)
    requests.tick(10 * SECOND)
    expect(row()).toEqual({
      channel: 0,
      asker: 0xf9,
      asked: 0x00,
      pgn: COMPONENT_ID,
      requests: 1,
      firstTime: SECOND,
      lastTime: SECOND,
      ...NOTHING,
      ...expected,
    })
  })

  it.each([
    ['another control byte', 4, COMPONENT_ID, 0x00, 255, 0xf9],
    ['another group', 1, 65260, 0x00, 255, 0xf9],
    ['another node', 1, COMPONENT_ID, 0x03, 255, 0xf9],
    ['an answer to another asker', 1, COMPONENT_ID, 0x00, 255, 0x17],
    ['an answer sent to another asker, who is not named', 1, COMPONENT_ID, 0x00, 0x17, 255],
  ])('are not taken for this request: %s', (_, control, pgn, sa, da, asker) => {
    const { requests, ask, acknowledge, row } = bus()
    ask(COMPONENT_ID, 0xf9, 0x00, SECOND)
    acknowledge(control, pgn, sa, da, asker, SECOND + 5 * MS)
    requests.tick(10 * SECOND)
    expect(row()).toMatchObject({ ...NOTHING, unanswered: 1 })
  })

  it.each([
    ['sent to the asker without naming it', 0xf9, 255],
    ['sent to all without naming the asker', 255, 255],
  ])('are taken when %s', (_, da, asker) => {
    const { ask, acknowledge, row } = bus()
    ask(COMPONENT_ID, 0xf9, 0x00, SECOND)
    acknowledge(1, COMPONENT_ID, 0x00, da, asker, SECOND + 5 * MS)
    expect(row().refused.negative).toBe(1)
  })

  it('of one node do not settle what all were asked', () => {
    const { ask, acknowledge, answer, row } = bus()
    ask(COMPONENT_ID, 0xf9, 255, SECOND)
    acknowledge(1, COMPONENT_ID, 0x00, 255, 0xf9, SECOND + 5 * MS)
    answer(COMPONENT_ID, 0x03, 255, SECOND + 9 * MS)
    expect(row()).toMatchObject({ ...NOTHING, answered: 1, fastest: 9 * MS, slowest: 9 * MS })
  })
})

describe('limits', () => {
  it('does not count what is still open at the end of the recording', () => {
    const { requests, ask, row } = bus()
    ask(COMPONENT_ID, 0xf9, 0x00, SECOND)
    requests.tick(SECOND + ANSWER_TIME)
    expect(row()).toMatchObject({ ...NOTHING, requests: 1 })
  })

  it('keeps a number of rows and counts what it does not follow', () => {
    const { requests, ask } = bus({ maxRows: 2 })
    for (let i = 0; i < 5; i++) ask(65000 + i, 0xf9, 0x00, SECOND)
    ask(65000, 0xf9, 0x00, 2 * SECOND)
    expect(requests.results().map((row) => row.requests)).toEqual([2, 1])
    expect(requests.ignored).toBe(3)
  })

  it('keeps a number of open requests, the oldest of more is unanswered', () => {
    const { requests, ask, answer, row } = bus({ maxOpen: 3 })
    for (let i = 0; i < 5; i++) ask(COMPONENT_ID, 0xf9, 0x00, SECOND + i)
    expect(row()).toMatchObject({ requests: 5, unanswered: 2 })
    answer(COMPONENT_ID, 0x00, 255, SECOND + MS)
    requests.tick(100 * SECOND)
    expect(row()).toMatchObject({ requests: 5, answered: 3, unanswered: 2 })
  })
})
