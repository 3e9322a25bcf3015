/** A whole recording against the reference decoder: every line, frame, long message, fault list and value. */
import { decodeGroup, type GroupDefinition, type Recording, type Signal, STATUSES } from '@firstcrank/decoder'
import { expect } from 'vitest'
import { hexOf } from './log.js'
import {
  type ReferenceFault,
  type ReferenceLog,
  readReferenceFaults,
  readReferenceLog,
  readReferenceMessages,
} from './reference-decoder.js'
import { type ReferenceValue, readReferenceGroup } from './reference-signals.js'

/** How much was compared. */
export interface Agreement {
  readonly lines: number
  readonly frames: number
  readonly longMessages: number
  readonly values: number
}

/** Fails where two things differ; `expect` itself is too slow to be called a million times. */
function same<T>(actual: T, wanted: T, what: () => string): void {
  if (!Object.is(actual, wanted)) expect(actual, what()).toBe(wanted)
}

/**
 * Fails unless the recording says what the reference decoder says of its text. Only for logs whose times
 * need no mending: no clock set back, every line with a time.
 */
export function expectAgreement(recording: Recording, text: string): Agreement {
  const log = readReferenceLog(text)
  expect(log.unread).toEqual([])
  expectAccounted(recording, log)
  const longMessages = expectSameMessages(recording, log)
  return { lines: log.lines, frames: log.frames.length, longMessages, values: expectSameValues(recording) }
}

/** Every line is in exactly one count, and the counts are the reference decoder's. */
function expectAccounted({ counts, problems }: Recording, log: ReferenceLog): void {
  const { lines, blank, comments, malformed, extended, standard, remote, error, fd } = counts
  expect(blank + comments + malformed + extended + standard + remote + error + fd).toBe(lines)
  expect({ lines, blank, extended, standard }).toEqual({
    ...{ lines: log.lines, blank: log.blank, extended: log.frames.length, standard: log.standard },
  })
  expect(problems.total).toBe(0)
}

/** Streams hold the frames and long messages, all of them, at their times. */
function expectSameMessages(recording: Recording, { frames }: ReferenceLog): number {
  const long = readReferenceMessages(frames)
  const key = (channel: string, pgn: number, sa: number, da: number): string => `${channel} ${pgn} ${sa}>${da}`
  const wanted = new Map<string, string[]>()
  const add = (name: string, message: string): void => {
    const messages = wanted.get(name)
    if (messages === undefined) wanted.set(name, [message])
    else messages.push(message)
  }
  for (const { channel, pgn, sa, da, micros, data } of frames) add(key(channel, pgn, sa, da), `${micros} ${data}`)
  for (const { channel, pgn, sa, da, micros, payload } of long) add(key(channel, pgn, sa, da), `${micros} ${payload}`)

  const byTime = (a: string, b: string): number => Number.parseInt(a, 10) - Number.parseInt(b, 10)
  for (const stream of recording.streams) {
    const name = key(recording.channels[stream.channel], stream.pgn, stream.sa, stream.da)
    const messages = wanted.get(name)?.sort(byTime)
    wanted.delete(name)
    same(stream.count, messages?.length, () => name)
    for (let row = 0; row < stream.count; row++) {
      same(`${stream.time(row)} ${hexOf(stream.payload(row))}`, messages?.[row], () => `${name}, message ${row}`)
    }
  }
  expect([...wanted.keys()]).toEqual([])
  expect(recording.log.bus.transportCounts.completed).toBe(long.length)
  return long.length
}

/** Every signal's columns, row by row; fault lists too. Equal payloads are read once by each decoder. */
function expectSameValues(recording: Recording): number {
  let values = 0
  const read = new Map<string, readonly ReferenceValue[]>()
  for (const stream of recording.streams) {
    const group = recording.catalogue.find(stream.pgn)
    if (group === undefined) continue
    const payloads = Array.from({ length: stream.count }, (_, row) => hexOf(stream.payload(row)))
    const rows = payloads.map((payload, row) => {
      const key = `${group.pgn} ${payload}`
      const known = read.get(key)
      if (known !== undefined) return known
      const wanted = readReferenceGroup(group, payload)
      expectSameGroup(group, stream.payload(row), wanted)
      read.set(key, wanted)
      return wanted
    })
    const { pgn, sa, da, channel } = stream
    for (const signal of recording.signals({ pgn, sa, da, channel: recording.channels[channel] })) {
      expectSameColumns(signal, rows)
      values += rows.length
    }
  }
  expectSameFaults(recording)
  return values
}

function expectSameGroup(group: GroupDefinition, payload: Uint8Array, wanted: readonly ReferenceValue[]): void {
  const values = decodeGroup(group, payload)
  same(values.length, wanted.length, () => `signals of ${group.acronym} in ${hexOf(payload)}`)
  values.forEach((value, index) => {
    const what = () => `${group.acronym} SPN ${value.spn} in ${hexOf(payload)}`
    for (const field of ['spn', 'status', 'value', 'label', 'text'] as const) {
      same<unknown>(value[field], wanted[index][field], what)
    }
  })
}

function expectSameColumns(signal: Signal, rows: readonly (readonly ReferenceValue[])[]): void {
  const values = signal.values()
  const raws = signal.raws()
  const statuses = signal.statuses()
  const what = () => `column of ${signal.group.acronym} SPN ${signal.spn}`
  rows.forEach((row, index) => {
    const wanted = row.find(({ spn, instance }) => spn === signal.spn && instance === signal.instance)
    same(STATUSES[statuses[index]] as string, wanted?.status ?? 'not-sent', what)
    same(values[index], wanted?.value ?? Number.NaN, what)
    if (wanted !== undefined) same(raws[index], Number(wanted.raw), what)
  })
}

/** Trouble codes of every DM1, as the messages' own diagnostics give them. */
function expectSameFaults(recording: Recording): void {
  for (const message of recording.messages({ pgn: 65226 })) {
    const list = message.diagnostic()
    if (list?.kind !== 'fault-list') throw new Error('a DM1 is a fault list')
    const faults = list.faults.map(
      ({ readings, fmi, occurrenceCount }): ReferenceFault => ({
        ...{ spns: readings.map(({ spn }) => spn), fmi, count: occurrenceCount },
      }),
    )
    expect(faults).toEqual(readReferenceFaults(hexOf(message.payload)).faults)
  }
}
