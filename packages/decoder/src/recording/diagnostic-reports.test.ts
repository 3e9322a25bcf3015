import { describe, expect, it } from 'vitest'
import type { Message } from '../bus/message.js'
import { decodeDiagnostic } from '../diagnostics/decode.js'
import { DiagnosticReports, type ReportMessage } from './diagnostic-reports.js'
import { type SummaryOptions, summarizeLog } from './summary.js'

const DM5 = 65230

function take(reports: DiagnosticReports, time: number, payload: Uint8Array, more: Partial<Message> = {}): void {
  const message: Message = {
    ...{ channel: 0, priority: 6, pgn: DM5, sa: 0, da: 255, firstTime: time, time, payload, transport: 'single' },
    ...more,
  }
  reports.add(decodeDiagnostic(message) as ReportMessage, message)
}

const readiness = (active: number): Uint8Array => Uint8Array.of(active, 0, 20, 0, 0, 0, 0, 0)

describe('DiagnosticReports', () => {
  it('keeps each content once, with its times', () => {
    const reports = new DiagnosticReports()
    take(reports, 1, readiness(2))
    take(reports, 2, readiness(3))
    take(reports, 5, readiness(2))
    expect(reports.list()).toMatchObject([
      { channel: 0, sa: 0, da: 255, pgn: DM5, firstTime: 1, lastTime: 5, count: 2, says: { dm: 5 } },
      { firstTime: 2, lastTime: 2, count: 1, says: { kind: 'readiness-1', values: { activeCount: { value: 3 } } } },
    ])
    expect(reports.dropped).toBe(0)
  })

  it('keeps channels, nodes, destinations and groups apart, in order of time', () => {
    const reports = new DiagnosticReports()
    const others: readonly Partial<Message>[] = [{}, { channel: 1 }, { sa: 3 }, { da: 249 }, { pgn: 64952 }]
    for (const [at, other] of others.entries()) take(reports, 10 - at, readiness(1), other)
    expect(reports.list().map(({ firstTime }) => firstTime)).toEqual([6, 7, 8, 9, 10])
  })

  it('keeps the first contents of a stream and the latest', () => {
    const reports = new DiagnosticReports()
    for (let active = 0; active < 100; active++) take(reports, active, readiness(active))
    expect(reports.list().map(({ firstTime }) => firstTime)).toEqual([...Array(15).keys(), 99])
    expect(reports.dropped).toBe(84)
  })

  it('has a limit on streams and on length', () => {
    const reports = new DiagnosticReports()
    take(reports, 0, new Uint8Array(1786), { sa: 200 })
    for (let at = 0; at < 300; at++) take(reports, at, readiness(1), { channel: at >> 7, sa: at & 127 })
    expect(reports.list()).toHaveLength(256)
    expect(reports.dropped).toBe(1 + 44)
  })
})

/** Frames of one node, 10 ms apart. */
const log = (...frames: readonly string[]): Uint8Array =>
  new TextEncoder().encode(frames.map((frame, at) => `(1700000000.${at}00000) can0 ${frame}\n`).join(''))
const reportsOf = async (bytes: Uint8Array, options: SummaryOptions = {}) => summarizeLog(bytes, options)

describe('a log', () => {
  // Made up: SPN 110 is 1 byte of the freeze frame; a freeze frame of SPN 100 FMI 1 with it at 60.
  const support = '18FDB600#6E001801FFFFFFFF'
  const frozen = '18FDB700#05640001013CFFFF'

  it('has its reports in the summary; a freeze frame is understood from the list of parameters on', async () => {
    const alone = await reportsOf(log(frozen))
    expect(alone.reports).toMatchObject([{ pgn: 64951, says: { frames: [{ dtc: { spn: 100 }, parameters: null }] } }])
    const both = await reportsOf(log(frozen, support, frozen))
    expect(both.reports).toMatchObject([
      { pgn: 64951, count: 2, says: { frames: [{ parameters: [{ spn: 110, raw: 0x3c }] }] } },
      { pgn: 64950, count: 1, says: { supported: [{ spn: 110, bytes: 1 }] } },
    ])
    expect(both.reportsDropped).toBe(0)
  })

  it('has no fault lists and no clear commands among them', async () => {
    const summary = await reportsOf(log('18FECA00#00FF00000000FFFF', '18FED3F9#FFFFFFFFFFFFFFFF', '18EAFFF9#CCFE00'))
    expect(summary.reports).toEqual([])
  })
})
