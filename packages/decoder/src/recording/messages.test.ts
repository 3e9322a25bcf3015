import { describe, expect, it } from 'vitest'
import { bamFrames, hexOf, inChunks, type LogFrame, printLog, utf8 } from '../../../../tests/support/log.js'
import type { GroupDefinition } from '../catalog/definition.js'
import type { DecodedMessage } from './decoded-message.js'
import { type MessageHead, type MessageOptions, readMessages } from './messages.js'

const S = 1_000_000
const START = 1_600_000_000 * S

const FRAMES: readonly LogFrame[] = [
  { time: START, channel: 'can1', pgn: 61444, priority: 3, data: '50 7D 8D D1 12 00 F4 8E' },
  { time: START + 1000, channel: 'can0', pgn: 65262, sa: 3, data: '4E' },
  ...bamFrames({ time: START + 2000, channel: 'can1', pgn: 65226, sa: 0, data: '04FF 5E000301 6E000302' }),
  { time: START + 200_000, channel: 'can1', pgn: 65297, sa: 7, data: 'AB CD' },
  { time: START + 199_000, channel: 'can1', pgn: 59904, sa: 249, da: 3, data: 'EBFE00' },
]

async function read(options?: MessageOptions, frames = FRAMES): Promise<DecodedMessage[]> {
  const messages: DecodedMessage[] = []
  for await (const message of readMessages(inChunks(utf8(printLog(frames)), [90]), options)) messages.push(message)
  return messages
}

describe('messages', () => {
  it('come in the order they were complete, long ones behind their own frames', async () => {
    const messages = await read()
    expect(messages.map(({ pgn, sa, da, channel, transport }) => [channel, pgn, sa, da, transport])).toEqual([
      ['can1', 61444, 0, 255, 'single'],
      ['can0', 65262, 3, 255, 'single'],
      ['can1', 60416, 0, 255, 'single'],
      ['can1', 60160, 0, 255, 'single'],
      ['can1', 60160, 0, 255, 'single'],
      ['can1', 65226, 0, 255, 'bam'],
      ['can1', 65297, 7, 255, 'single'],
      ['can1', 59904, 249, 3, 'single'],
    ])
    const [first] = messages
    expect(first).toMatchObject({ priority: 3, firstTime: START, time: START })
    expect(messages[5]).toMatchObject({ priority: 7, firstTime: START + 2000, time: START + 102_000 })
  })

  it('keep their payloads when the next ones are read', async () => {
    const messages = await read()
    expect(messages.map(({ payload }) => hexOf(payload)).filter((_, index) => [0, 1, 5, 6].includes(index))).toEqual([
      ...['507D8DD11200F48E', '4E', '04FF5E0003016E000302', 'ABCD'],
    ])
  })

  it('have the meaning of their group at hand', async () => {
    const [speed, coolant, , , , faults, unknown, request] = await read()
    expect(speed.group?.acronym).toBe('EEC1')
    expect(speed.signals().find(({ spn }) => spn === 190)).toMatchObject({
      value: 602.125,
      unit: 'rpm',
      status: 'valid',
    })
    expect(coolant.signals().map(({ spn, value }) => [spn, value])).toEqual([[110, 38]])
    expect(faults.diagnostic()).toMatchObject({ kind: 'fault-list', faults: [{ spn: 94 }, { spn: 110 }] })
    expect(speed.diagnostic()).toBeUndefined()
    expect(unknown).toMatchObject({ group: undefined })
    expect(unknown.signals()).toEqual([])
    expect(request.diagnostic()).toBeUndefined()
    expect(speed.identification()).toBeUndefined()
  })

  it('say who their sender is', async () => {
    const frames = bamFrames({ time: START, pgn: 65259, data: '4F574E2A44454D4F2A' })
    const last = (await read({}, frames)).at(-1)
    expect(last?.identification()).toMatchObject({
      kind: 'component',
      fields: [{ text: 'OWN' }, { text: 'DEMO' }, {}, {}],
    })
  })

  it('of old trouble codes are read as told', async () => {
    // SPN 190 as version 2 lays it out; the method bit is 1 (a keypad maker's trouble code, see dtc.test.ts).
    const frames = [{ time: START, channel: 'can1', pgn: 65226, sa: 7, data: '00 FF 17 00 C2 85' }]
    const [told] = await read({ conversion: (channel, sa) => (channel === 0 && sa === 7 ? 2 : undefined) }, frames)
    expect(told.diagnostic()).toMatchObject({ faults: [{ spn: 190, version: 2, ambiguous: false }] })
    const [untold] = await read({}, frames)
    expect(untold.diagnostic()).toMatchObject({ faults: [{ ambiguous: true }] })
  })

  it.each([1, 7, 1000])('of a DM25 are read with the DM24 before it, in chunks of %i bytes', async (size) => {
    const dm24 = (time: number, spn: string): LogFrame => ({ time, pgn: 64950, data: `${spn} 18 02` })
    const dm25 = (time: number): LogFrame => ({ time, pgn: 64951, data: '06 BE 00 02 05 80 25 FF' })
    const frames = [dm25(START), dm24(START + S, 'BE 00'), dm25(START + 2 * S), dm24(START + 3 * S, '6E 00')]
    const found: unknown[] = []
    for await (const message of readMessages(inChunks(utf8(printLog(frames)), [size]))) {
      const diagnostic = message.diagnostic()
      if (diagnostic?.kind !== 'expanded-freeze-frames') continue
      found.push(diagnostic.frames[0]?.parameters?.map(({ spn, raw }) => [spn, raw]) ?? null)
    }
    expect(found).toEqual([null, [[190, 0x2580]]])
  })

  it('are chosen by what is known before their payload is looked at', async () => {
    const heads: MessageHead[] = []
    const messages = await read({
      filter: (head) => {
        heads.push(head)
        return head.pgn === 65226 && head.channel === 'can1'
      },
    })
    expect(messages.map(({ pgn }) => pgn)).toEqual([65226])
    expect(heads).toHaveLength(8)
    expect(heads[0]).toMatchObject({ pgn: 61444, sa: 0, da: 255, priority: 3, time: START, channel: 'can1' })
  })

  it('of a person’s own groups, also in place of the built-in ones', async () => {
    const own = (pgn: number): GroupDefinition => ({
      ...{ pgn, acronym: 'OWN', name: 'Own', length: 8, sources: ['own'] },
      signals: [
        {
          kind: 'numeric',
          spn: 520_192,
          name: 'Own',
          at: '2',
          bits: 8,
          resolution: 1,
          offset: 0,
          unit: '%',
          sources: ['own'],
          confirmed: 0,
        },
      ],
    })
    const messages = await read({ definitions: [own(65297), own(61444)] })
    const valuesOf = (message: DecodedMessage | undefined) => message?.signals().map(({ spn, value }) => [spn, value])
    expect(valuesOf(messages.find(({ pgn }) => pgn === 65297))).toEqual([[520_192, 0xcd]])
    expect(valuesOf(messages[0])).toEqual([[520_192, 0x7d]])
  })

  it('tell how far the reading has come', async () => {
    const seen: number[] = []
    await read({ onProgress: (bytes) => seen.push(bytes) })
    const size = utf8(printLog(FRAMES)).length
    expect(seen.at(-1)).toBe(size)
    expect(seen).toHaveLength(Math.ceil(size / 90))
    expect(seen).toEqual(seen.toSorted((a, b) => a - b))
  })

  it('may be left before the end', async () => {
    for await (const message of readMessages(utf8(printLog(FRAMES)))) {
      expect(message.pgn).toBe(61444)
      break
    }
  })

  it('cannot be read from what is no source', async () => {
    const reading = readMessages('truck.log' as unknown as Uint8Array).next()
    await expect(reading).rejects.toMatchObject({ code: 'not-a-source' })
  })
})
