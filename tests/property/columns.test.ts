/** A signal's columns say what each of its messages says, for every group, whatever the payloads' lengths. */
import {
  decodeGroup,
  type GroupDefinition,
  openRecording,
  type Signal,
  type SignalDefinition,
  STATUSES,
} from '@firstcrank/decoder'
import { GROUPS } from '@firstcrank/decoder/catalog'
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { bamFrames, hexOf, type LogFrame, printLog, utf8 } from '../support/log.js'
import { readReferenceGroup } from '../support/reference-signals.js'

const START = 1_600_000_000_000_000

const byte = fc.oneof(fc.nat(255), fc.constantFrom(0xff, 0xfe, 0xfb, 0xfa, 0))
const bytes = (minLength: number, maxLength: number) =>
  fc.array(byte, { minLength, maxLength }).map((values) => hexOf(Uint8Array.from(values)))

/** Payloads of one stream; what is longer than a frame is broadcast in packets. */
const PAYLOADS: Readonly<Record<string, fc.Arbitrary<string[]>>> = {
  'of eight bytes': fc.array(bytes(8, 8), { minLength: 1, maxLength: 90 }),
  'of any length in one frame': fc.array(bytes(0, 8), { minLength: 1, maxLength: 40 }),
  'of no byte at first': fc.array(bytes(8, 8), { maxLength: 3 }).map((others) => ['', '', ...others]),
  'of any length': fc.array(fc.oneof(bytes(0, 8), bytes(9, 45)), { minLength: 1, maxLength: 20 }),
}

/** By number, since a group printed with all its signals hides the rest of a counterexample. */
const anyPgn = fc.constantFrom(
  ...GROUPS.filter((group) => group.signals.some((signal) => 'bits' in signal)).map(({ pgn }) => pgn),
)

/** A recording of payloads written in turn, some with times a little too early, and their order by those times. */
async function record(pgn: number, payloads: readonly string[], early: readonly number[]) {
  const sent: { readonly time: number; readonly data: string }[] = []
  const frames: LogFrame[] = []
  for (const [index, data] of payloads.entries()) {
    const time = START + index * 100_000 - (early[index % early.length] ?? 0)
    const frame = { time, pgn, sa: 3, data }
    const own = data.length > 16 ? bamFrames({ ...frame, spacing: 1000 }) : [frame]
    frames.push(...own)
    sent.push({ time: own[own.length - 1].time, data })
  }
  const recording = await openRecording(utf8(printLog(frames)))
  return { recording, inOrder: sent.sort((a, b) => a.time - b.time).map(({ data }) => data) }
}

interface Row {
  readonly status: string
  readonly value: number
  readonly raw: number
}

function columnsOf(signal: Signal): Row[] {
  const values = signal.values()
  const raws = signal.raws()
  const statuses = signal.statuses()
  return Array.from(values, (value, row) => ({ status: STATUSES[statuses[row]], value, raw: raws[row] }))
}

/** What one message says of a signal, as its columns would. */
function rowOf(signal: Signal, payload: Uint8Array): Row {
  const { bits } = signal.definition
  const found = decodeGroup(signal.group, payload).find(
    ({ spn, instance }) => spn === signal.spn && instance === signal.instance,
  )
  const raw = found === undefined ? 2 ** bits - 1 : Number(bits > 53 ? BigInt(`0x${found.raw}`) : found.raw)
  return { status: found?.status ?? 'not-sent', value: found?.value ?? Number.NaN, raw }
}

describe('columns of messages', () => {
  const earliness = fc.array(fc.nat(900_000), { maxLength: 5 })

  it.each(Object.entries(PAYLOADS))('%s', async (_, payloads) => {
    let compared = 0
    await fc.assert(
      fc.asyncProperty(anyPgn, payloads, earliness, async (pgn, sent, early) => {
        const { recording, inOrder } = await record(pgn, sent, early)
        const messages = [...recording.messages({ pgn })].map((message) => message.payload)
        expect(messages.map(hexOf)).toEqual(inOrder)
        for (const signal of recording.signals({ pgn })) {
          const columns = columnsOf(signal)
          expect(columns).toEqual(messages.map((payload) => rowOf(signal, payload)))
          compared += columns.length
        }
      }),
      { numRuns: 60 },
    )
    expect(compared).toBeGreaterThan(500)
  })

  it('of repeated blocks, each block a signal of its own', async () => {
    const common = { sources: ['memory'], confirmed: 0 } as const
    const number: SignalDefinition = {
      ...{
        ...common,
        kind: 'numeric',
        spn: 1,
        name: 'N',
        at: '1.5',
        bits: 12,
        resolution: 0.5,
        offset: -10,
        unit: '%',
      },
    }
    const state: SignalDefinition = {
      ...common,
      kind: 'state',
      spn: 2,
      name: 'S',
      at: '3',
      bits: 2,
      states: { 1: 'on' },
    }
    const group: GroupDefinition = {
      ...{ pgn: 65280, acronym: 'TEST', name: 'Test', length: 'variable', signals: [], sources: ['memory'] },
      repeat: { at: 2, bytes: 3, signals: [number, state] },
    }
    await fc.assert(
      fc.asyncProperty(fc.array(fc.oneof(bytes(0, 8), bytes(9, 30)), { minLength: 1, maxLength: 12 }), async (sent) => {
        let time = START
        const frames = sent.flatMap((data): LogFrame[] => {
          time += 1_000_000
          return data.length > 16
            ? bamFrames({ time, pgn: group.pgn, data, spacing: 1000 })
            : [{ time, pgn: group.pgn, data }]
        })
        const recording = await openRecording(utf8(printLog(frames)), { definitions: [group] })
        const signals = recording.signals({ pgn: group.pgn })
        const blocks = Math.max(0, ...sent.map((data) => Math.floor((data.length / 2 - 1) / 3)))
        expect(signals.map(({ spn, instance }) => `${spn}/${instance}`)).toEqual(
          Array.from({ length: blocks }, (_, block) => [`1/${block}`, `2/${block}`]).flat(),
        )
        for (const signal of signals) {
          const wanted = sent.map((data) => {
            const found = readReferenceGroup(group, data).find(
              ({ spn, instance }) => spn === signal.spn && instance === signal.instance,
            )
            return [found?.status ?? 'not-sent', found?.value ?? Number.NaN]
          })
          expect(columnsOf(signal).map(({ status, value }) => [status, value])).toEqual(wanted)
        }
      }),
      { numRuns: 100 },
    )
  })
})
