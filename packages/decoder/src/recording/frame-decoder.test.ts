import { describe, expect, test } from 'vitest'
import type { DecodedMessage } from './decoded-message.js'
import type { BusEvent } from './events.js'
import { FrameDecoder, FrameError, type FrameErrorCode, type FrameInput } from './frame-decoder.js'

const bytes = (hex: string) => Uint8Array.from(hex.split(' '), (byte) => Number.parseInt(byte, 16))
const frame = (time: number, id: number, hex: string): FrameInput => ({ time, channel: 'bus', id, data: bytes(hex) })

describe('a frame decoder', () => {
  test('gives a message as soon as its last frame is there', () => {
    const messages: { time: number; pgn: number; payload: Uint8Array; faults: unknown }[] = []
    const decoder = new FrameDecoder({
      message: (message: DecodedMessage) => {
        const diagnostic = message.diagnostic()
        messages.push({
          time: message.time,
          pgn: message.pgn,
          payload: message.payload.slice(),
          faults: diagnostic?.kind === 'fault-list' ? diagnostic.faults.map(({ spn, fmi }) => [spn, fmi]) : undefined,
        })
      },
    })
    // A DM1 with four faults by BAM. Source: a keypad's J1939 manual.
    decoder.push(frame(1, 0x1cecff80, '20 12 00 03 FF CA FE 00'))
    decoder.push(frame(2, 0x1cebff80, '01 00 00 73 F0 E2 03 74'))
    decoder.push(frame(3, 0x1cebff80, '02 F0 E2 07 75 F0 E2 03'))
    expect(messages.map(({ pgn }) => pgn)).toEqual([60416, 60160, 60160])
    decoder.push(frame(4, 0x1cebff80, '03 60 F2 E4 03 FF FF FF'))
    expect(messages.at(-1)).toMatchObject({
      time: 4,
      pgn: 65226,
      faults: [
        [520307, 2],
        [520308, 2],
        [520309, 2],
        [520800, 4],
      ],
    })
    expect(messages.at(-1)?.payload).toHaveLength(18)
    expect(decoder.bus.episodes.list).toHaveLength(4)
  })

  test('reads signals', () => {
    const speeds: (number | null)[] = []
    const decoder = new FrameDecoder({
      message: (message) => {
        speeds.push(message.signals().find(({ spn }) => spn === 190)?.value ?? null)
      },
    })
    // 15E0h is 700 rpm. Source: a generator set controller's J1939 manual.
    decoder.push(frame(1, 0x0cf00400, 'FF 7D 7D E0 15 FF F0 FF'))
    expect(speeds).toEqual([700])
  })

  test('reports an unfinished message at the end', () => {
    const events: BusEvent[] = []
    const decoder = new FrameDecoder({ event: (event) => events.push(event) })
    decoder.push(frame(1, 0x1cecff80, '20 12 00 03 FF CA FE 00'))
    decoder.finish()
    expect(events).toMatchObject([{ kind: 'transport', code: 'recording-ended', sa: 0x80, received: 0 }])
  })

  test.each<[FrameErrorCode, FrameInput]>([
    ['bad-identifier', frame(1, 0x20000000, '01')],
    ['bad-identifier', frame(1, 1.5, '01')],
    ['bad-length', { ...frame(1, 1, '01'), data: new Uint8Array(9) }],
    ['bad-time', frame(Number.NaN, 1, '01')],
  ])('refuses a frame with %s', (code, input) => {
    const decoder = new FrameDecoder({})
    expect(() => decoder.push(input)).toThrow(FrameError)
    expect(() => decoder.push(input)).toThrow(expect.objectContaining({ code }))
  })

  test('refuses more identifiers than it keeps', () => {
    const decoder = new FrameDecoder({})
    const pushAll = () => {
      for (let id = 0; id <= 65_536; id++) decoder.push({ time: id, channel: 'bus', id, data: new Uint8Array(0) })
    }
    expect(pushAll).toThrow(expect.objectContaining({ code: 'too-many-identifiers' }))
  })
})
