/** Random traffic, put together by the decoder and by the reference decoder: identifiers, long messages, fault lists. */
import {
  decodeDiagnostic,
  type FaultList,
  formatIdentifier,
  openRecording,
  parseIdentifier,
  readMessages,
} from '@firstcrank/decoder'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { hexOf, type LogFrame, lowFirst, printLog, utf8 } from '../support/log.js'
import {
  readReferenceFaults,
  readReferenceId,
  readReferenceLog,
  readReferenceMessages,
} from '../support/reference-decoder.js'

const START = 1_600_000_000_000_000

it('an identifier says the same to both, and is built again from what it says', () => {
  fc.assert(
    fc.property(fc.nat(0x1fffffff), (id) => {
      const { priority, pgn, sa, da } = parseIdentifier(id)
      const hex = id.toString(16).padStart(8, '0')
      expect({ priority, pgn, sa, da }).toEqual(readReferenceId(hex))
      expect(formatIdentifier({ priority, pgn, sa, da })).toBe(id)
    }),
    { numRuns: 2000 },
  )
})

/** A frame of some message, and how long before it there was silence. */
type Step = Omit<LogFrame, 'time'> & { readonly wait: number }

/** What can go wrong with the packets of a message between two nodes, as a new order of their numbers. */
const order = (total: number): fc.Arbitrary<number[]> => {
  const whole = Array.from({ length: total }, (_, index) => index + 1)
  return fc.oneof(
    { arbitrary: fc.constant(whole), weight: 5 },
    { arbitrary: fc.nat(total - 1).map((lost) => whole.filter((number) => number !== lost + 1)), weight: 1 },
    { arbitrary: fc.nat(total - 1).map((again) => whole.flatMap((n) => (n === again + 1 ? [n, n] : [n]))), weight: 1 },
    { arbitrary: fc.shuffledSubarray(whole, { minLength: total }), weight: 1 },
  )
}

/** Groups each node sends. None is sent both ways between two nodes: an abort would not say which is meant. */
const SENDERS = [
  { sa: 0, pgn: 65251 },
  { sa: 0, pgn: 57344 },
  { sa: 11, pgn: 65226 },
  { sa: 11, pgn: 0xd300 },
  { sa: 49, pgn: 65280 },
] as const

/** A long message from one of three nodes to another or to all, with or without clearances in between. */
const longMessage: fc.Arbitrary<Step[]> = fc
  .record({
    sender: fc.constantFrom(...SENDERS),
    da: fc.constantFrom(255, 255, 0, 11),
    channel: fc.constantFrom('can0', 'can1'),
    data: fc.uint8Array({ minLength: 9, maxLength: 60 }),
    wait: fc.constantFrom(1000, 50_000, 50_000, 300_000, 2_600_000),
    end: fc.constantFrom('acknowledged', 'acknowledged', 'aborted', 'silent'),
    bad: fc.constantFrom('', '', '', '', '', 'size', 'short'),
  })
  .chain((message) => {
    const total = Math.ceil(message.data.length / 7)
    return order(total).map((numbers): Step[] => {
      const { channel, data, wait, end, bad } = message
      const { sa, pgn } = message.sender
      const da = message.da === sa ? 255 : message.da
      const along = { wait, sa, da, channel, priority: 7 }
      const against = { ...along, sa: da, da: sa }
      const about = lowFirst(pgn, 3)
      const size = lowFirst(data.length + (bad === 'size' ? 7 : 0), 2)
      const packets = numbers.map((number): Step => {
        const content = hexOf(data.subarray((number - 1) * 7, number * 7)).padEnd(14, 'F')
        const cut = bad === 'short' && number === 1 ? content.slice(0, 4) : content
        return { ...along, pgn: 60160, data: lowFirst(number, 1) + cut }
      })
      if (da === 255) return [{ ...along, pgn: 60416, data: `20${size}${lowFirst(total, 1)}FF${about}` }, ...packets]
      const half = Math.ceil(numbers.length / 2)
      const clear = (first: number): Step => ({
        ...against,
        ...{ pgn: 60416, data: `11${lowFirst(Math.max(1, total - first + 1), 1)}${lowFirst(first, 1)}FFFF${about}` },
      })
      const last: Readonly<Record<string, Step[]>> = {
        acknowledged: [{ ...against, pgn: 60416, data: `13${size}${lowFirst(total, 1)}FF${about}` }],
        aborted: [{ ...against, pgn: 60416, data: `FF03FFFFFF${about}` }],
        silent: [],
      }
      return [
        { ...along, pgn: 60416, data: `10${size}${lowFirst(total, 1)}FF${about}` },
        clear(1),
        ...packets.slice(0, half),
        clear(Math.min(total, half + 1)),
        ...packets.slice(half),
        ...last[end],
      ]
    })
  })

/** Several messages, their frames in turns, as buses have them. */
const traffic: fc.Arbitrary<LogFrame[]> = fc
  .tuple(fc.array(longMessage, { minLength: 1, maxLength: 6 }), fc.array(fc.nat(), { minLength: 1, maxLength: 30 }))
  .map(([messages, turns]) => {
    const queues = messages.map((steps) => [...steps])
    const frames: LogFrame[] = []
    let time = START
    for (let turn = 0; queues.some((queue) => queue.length > 0); turn++) {
      const waiting = queues.filter((queue) => queue.length > 0)
      const step = waiting[turns[turn % turns.length] % waiting.length].shift()
      if (step === undefined) continue
      const { wait, ...frame } = step
      time += wait
      frames.push({ time, ...frame })
    }
    return frames
  })

describe('long messages', () => {
  it('come whole where the reference decoder finds them whole, and nowhere else', async () => {
    let whole = 0
    await fc.assert(
      fc.asyncProperty(traffic, async (frames) => {
        const log = printLog(frames)
        const found = []
        for await (const message of readMessages(utf8(log))) {
          if (message.transport === 'single') continue
          const { channel, pgn, sa, da, firstTime, time, payload, transport } = message
          found.push({ channel, pgn, sa, da, firstMicros: firstTime, micros: time, payload: hexOf(payload), transport })
        }
        expect(found).toEqual(readReferenceMessages(readReferenceLog(log).frames))
        whole += found.length
      }),
      { numRuns: 400 },
    )
    expect(whole).toBeGreaterThan(200)
  })

  it('are all accounted for: whole, or lost with one event that says why', async () => {
    await fc.assert(
      fc.asyncProperty(traffic, async (frames) => {
        const recording = await openRecording(utf8(printLog(frames)))
        const announced = frames.filter(({ pgn, data }) => pgn === 60416 && /^[12]0/.test(data)).length
        const { completed, byCode } = recording.log.bus.transportCounts
        const lost = recording.events.filter((event) => event.kind === 'transport' && LOST.has(event.code))
        expect(completed + lost.length).toBe(announced)
        expect([...byCode.values()].reduce((sum, count) => sum + count, 0)).toBe(recording.events.length)
      }),
      { numRuns: 150 },
    )
  })
})

const LOST = new Set([
  ...['replaced', 'timed-out', 'recording-ended', 'aborted', 'missing-packets', 'conflicting-packet'],
  ...['impossible-size', 'wrong-packet-total', 'impossible-group', 'over-size-limit', 'too-many-sessions'],
])

describe('fault lists', () => {
  const LAMP: Readonly<Record<string, string>> = { off: '00', on: '01', reserved: '10', 'not-available': '11' }

  it('list the same lamps and faults', () => {
    const code = fc.oneof(
      fc.uint8Array({ minLength: 4, maxLength: 4 }),
      fc.constantFrom(Uint8Array.of(0, 0, 0, 0), Uint8Array.of(255, 255, 255, 255), Uint8Array.of(0, 0, 0, 1)),
    )
    const payload = fc
      .tuple(
        fc.uint8Array({ minLength: 0, maxLength: 2 }),
        fc.array(code, { maxLength: 9 }),
        fc.uint8Array({ maxLength: 3 }),
      )
      .map(([lamps, codes, rest]) => Uint8Array.from([...lamps, ...codes.flatMap((bytes) => [...bytes]), ...rest]))
    const pgn = fc.constantFrom(65226, 65227, 65231, 65236, 64949, 64896)
    fc.assert(
      fc.property(pgn, payload, (pgn, bytes) => {
        const head = { channel: 0, priority: 6, pgn, sa: 0, da: 255, firstTime: 0, time: 0 } as const
        const list = decodeDiagnostic({ ...head, payload: bytes, transport: 'single' }) as FaultList
        const wanted = readReferenceFaults(hexOf(bytes))
        const { malfunction, redStop, amberWarning, protect } = list.lamps ?? {}
        const lamps = [malfunction, redStop, amberWarning, protect].map((lamp) => lamp && LAMP[lamp.state])
        expect(list.lamps === null ? null : lamps).toEqual(wanted.lamps)
        expect(
          list.faults.map(({ readings, fmi, occurrenceCount }) => ({
            ...{ spns: readings.map(({ spn }) => spn), fmi, count: occurrenceCount },
          })),
        ).toEqual(wanted.faults)
      }),
      { numRuns: 2000 },
    )
  })
})
