/**
 * Buses made by hand: a few nodes that send in a rhythm, and one thing that is different. Everything in
 * them is invented.
 */
import { encodeName, type NameFields, openRecording } from '@firstcrank/decoder'
import { describe, expect, it, test } from 'vitest'
import { type LogFrame, printLog, utf8 } from '../../../tests/support/log.js'
import type { EnginePhases } from './bus/awake.js'
import { BUS_CHECKS, findBus } from './bus-findings.js'
import { limitsFor } from './limits.js'
import type { CheckResult, PhaseKind } from './model.js'
import { NO_PROFILE } from './profile.js'

const KEY_ON = 1_750_000_000_000_000
const at = (seconds: number): number => KEY_ON + Math.round(seconds * 1e6)
const LENGTH = 30

interface Rhythm {
  readonly sa: number
  readonly pgn: number
  /** Milliseconds. */
  readonly period: number
  readonly data?: string
  readonly channel?: string
}

/** An engine, a gearbox, brakes and a slow display. 65271 holds 12.8 V in bytes 5 to 8. */
const NODES: readonly Rhythm[] = [
  { sa: 0, pgn: 61444, period: 20 },
  { sa: 0, pgn: 65271, period: 1000, data: 'FF FF FF FF 00 01 00 01' },
  { sa: 3, pgn: 61442, period: 10 },
  { sa: 11, pgn: 61441, period: 100 },
  { sa: 40, pgn: 65226, period: 1000, data: '00 FF 00 00 00 00 FF FF' },
]

type Hole = readonly [from: number, to: number]

interface Bus {
  readonly nodes?: readonly Rhythm[]
  /** Nobody is heard. */
  readonly holes?: readonly Hole[]
  /** One node is not heard, or one of its groups. */
  readonly silent?: readonly { readonly sa: number; readonly pgn?: number; readonly hole: Hole }[]
  readonly others?: readonly (Omit<LogFrame, 'time'> & { readonly at: number })[]
  /** Lines that are no frames of J1939. */
  readonly lines?: string
  readonly phases?: readonly (readonly [PhaseKind, from: number, to: number])[]
  readonly expected?: readonly { readonly sa: number; readonly name: string }[]
  readonly length?: number
}

const within = (t: number, [from, to]: Hole): boolean => t > from && t < to

async function judge(bus: Bus): Promise<ReadonlyMap<string, CheckResult>> {
  const { nodes = NODES, holes = [], silent = [], others = [], lines = '', length = LENGTH } = bus
  const frames: LogFrame[] = others.map(({ at: seconds, ...frame }) => ({ ...frame, time: at(seconds) }))
  nodes.forEach(({ sa, pgn, period, data = 'FF FF FF FF FF FF FF FF', channel = 'can0' }, index) => {
    for (let t = 0.001 * index; t < length; t += period / 1000) {
      const isSilent = silent.some((one) => one.sa === sa && (one.pgn ?? pgn) === pgn && within(t, one.hole))
      if (isSilent || holes.some((hole) => within(t, hole))) continue
      frames.push({ time: at(t), sa, pgn, data, channel })
    }
  })
  frames.sort((a, b) => a.time - b.time)
  const recording = await openRecording(utf8(printLog(frames) + lines), { summary: true })
  const phases = (bus.phases ?? [['idle', 0, length]]).map(([kind, from, to]) => ({
    kind,
    basis: 'inferred' as const,
    from: at(from),
    to: at(to),
    resolution: 20_000,
    cycle: 1,
    why: 'made up',
  }))
  const engines: EnginePhases[] = bus.phases?.length === 0 ? [] : [{ channel: 'can0', sa: 0, phases }]
  const summary = recording.summary()
  if (summary === undefined) throw new Error('no summary')
  const results = findBus(recording, summary, engines, limitsFor(NO_PROFILE), bus.expected)
  return new Map(results.map((result) => [result.id, result]))
}

const verdicts = (results: ReadonlyMap<string, CheckResult>): Record<string, string> =>
  Object.fromEntries([...results].map(([id, { verdict }]) => [id, verdict]))

const NAME: NameFields = {
  identityNumber: 1,
  manufacturerCode: 0,
  ecuInstance: 0,
  functionInstance: 0,
  function: 3,
  reserved: 0,
  vehicleSystem: 0,
  vehicleSystemInstance: 0,
  industryGroup: 1,
  arbitraryAddressCapable: false,
}
const claim = (seconds: number, sa: number, fields: Partial<NameFields> = {}): NonNullable<Bus['others']>[number] => ({
  at: seconds,
  pgn: 60928,
  sa,
  da: 255,
  data: Buffer.from(encodeName({ ...NAME, ...fields })).toString('hex'),
})
/** DM1 of one fault: SPN 639 FMI 9, once. */
const MISSED = '00 FF 7F 02 09 01 FF FF'

describe('a bus on which nothing happens', () => {
  it('passes, except for what was not recorded', async () => {
    expect(verdicts(await judge({ others: [claim(0.0005, 3)] }))).toEqual({
      'controller-reset': 'pass',
      'bus-silence': 'pass',
      'expected-nodes': 'pass',
      'missing-messages': 'pass',
      'address-conflict': 'pass',
      'error-frames': 'not-judged',
      'long-messages': 'not-judged',
      'late-messages': 'pass',
      'bus-load': 'pass',
      'recorder-holes': 'pass',
    })
  })

  it('says "not recorded" of error frames, never that there were none', async () => {
    const result = (await judge({})).get('error-frames')
    expect(result?.finding).toMatch(/^Not recorded/)
    expect(result?.finding).toContain('None seen is not none occurred')
  })
})

describe('a silence of all nodes', () => {
  it('is the recorder’s where no node noticed', async () => {
    const results = await judge({ holes: [[10, 13.7]] })
    expect(verdicts(results)).toMatchObject({
      'recorder-holes': 'not-judged',
      'bus-silence': 'pass',
      'missing-messages': 'pass',
    })
    expect(results.get('recorder-holes')?.finding).toMatch(/Not judged for 3\.7\d s: the recorder missed 1 stretch/)
    expect(results.get('recorder-holes')?.evidence[0]?.text).toContain('battery 12.8 V')
  })

  it('is the bus’s where nodes report that they missed messages', async () => {
    const others = [14, 15, 16].map((seconds) => ({ at: seconds, pgn: 65226, sa: 3, data: MISSED }))
    const results = await judge({ holes: [[10, 13.7]], others })
    expect(verdicts(results)).toMatchObject({
      'recorder-holes': 'pass',
      'bus-silence': 'fail',
      'missing-messages': 'pass',
    })
    expect(results.get('bus-silence')?.evidence[0]?.text).toContain('address 3 lists SPN 639 FMI 9')
    expect(results.get('bus-silence')?.advice).toContain('60 Ω')
  })

  it('is the bus’s where error frames were recorded', async () => {
    const lines = `(${(at(12) / 1e6).toFixed(6)}) can0 20000080#0000000000000000\n`
    const results = await judge({ holes: [[10, 10.6]], lines })
    expect(verdicts(results)).toMatchObject({ 'bus-silence': 'fail', 'error-frames': 'fail' })
  })

  it('cannot be told where it is too short for a node to notice', async () => {
    expect(verdicts(await judge({ holes: [[10, 10.5]] }))).toMatchObject({
      'bus-silence': 'caution',
      'recorder-holes': 'pass',
    })
  })

  it('is rest with the key off', async () => {
    const phases = [
      ['idle', 0, 9],
      ['shutdown', 9, 9.5],
      ['after-run', 9.5, 10],
      ['unknown', 10, 20],
      ['key-on', 20, 30],
    ] as const
    const results = await judge({ holes: [[9.2, 20]], phases, others: [claim(0.0005, 3), claim(20.0005, 3)] })
    expect(Object.values(verdicts(results))).not.toContain('fail')
    expect(verdicts(results)).toMatchObject({
      'bus-silence': 'pass',
      'controller-reset': 'pass',
      'missing-messages': 'pass',
    })
  })
})

describe('one node', () => {
  it('that falls silent while others go on fails, with the supply beside it', async () => {
    const results = await judge({ silent: [{ sa: 11, hole: [10, 12.55] }] })
    const result = results.get('missing-messages')
    expect(result?.verdict).toBe('fail')
    expect(result?.evidence[0]?.text).toMatch(
      /Brakes.*\(address 11\) silent for 2\.70 s while others went on; battery 12\.8 V/,
    )
    expect(verdicts(results)).toMatchObject({
      'bus-silence': 'pass',
      'recorder-holes': 'pass',
      'expected-nodes': 'pass',
    })
  })

  it('that claims its address anew behind its silence has restarted, and counts once', async () => {
    const others = [claim(0.0005, 3), claim(12.6, 3)]
    const results = await judge({ silent: [{ sa: 3, hole: [12, 12.85] }], others })
    expect(verdicts(results)).toMatchObject({ 'controller-reset': 'fail', 'missing-messages': 'pass' })
    expect(results.get('controller-reset')?.measured?.value).toBe(1)
    expect(results.get('controller-reset')?.evidence).toHaveLength(1)
  })

  it('that claims again because it was asked has not restarted', async () => {
    const asked = { at: 12, pgn: 59904, sa: 249, da: 255, data: '00 EE 00' }
    expect(verdicts(await judge({ others: [claim(0.0005, 3), asked, claim(12.1, 3)] }))).toMatchObject({
      'controller-reset': 'pass',
    })
  })

  it('that is silent for good with the key on is missing', async () => {
    const results = await judge({ silent: [{ sa: 11, hole: [10, 99] }] })
    expect(results.get('expected-nodes')?.verdict).toBe('fail')
    expect(results.get('expected-nodes')?.finding).toContain('fell silent for good')
  })

  it('may be silent for good where nobody tells of the key', async () => {
    const results = await judge({ silent: [{ sa: 11, hole: [10, 99] }], phases: [] })
    expect(results.get('expected-nodes')?.verdict).toBe('caution')
    expect(results.get('expected-nodes')?.finding).toContain('No engine tells when the key was on')
  })

  it('that a profile asks for and nobody heard is missing', async () => {
    const expected = [
      { sa: 3, name: 'gearbox' },
      { sa: 49, name: 'dosing unit' },
    ]
    const result = (await judge({ expected })).get('expected-nodes')
    expect(result?.verdict).toBe('fail')
    expect(result?.finding).toBe('dosing unit (address 49) was never heard.')
  })
})

describe('one message', () => {
  it('that stays away for more than five periods fails where the standard gives its rhythm', async () => {
    const result = (
      await judge({
        silent: [{ sa: 11, pgn: 61441, hole: [10, 10.75] }],
        nodes: [...NODES, { sa: 11, pgn: 65215, period: 100 }],
      })
    ).get('missing-messages')
    expect(result?.verdict).toBe('fail')
    expect(result?.finding).toContain('0.90 s, 9 periods')
  })

  it('is a caution between three periods and five', async () => {
    const result = (await judge({ silent: [{ sa: 0, pgn: 65271, hole: [10.5, 13.5] }] })).get('missing-messages')
    expect([result?.verdict, result?.measured?.value]).toEqual(['caution', 4])
  })

  it('that is sent only when it is wanted may stay away', async () => {
    // Torque and speed control has no rhythm of its own.
    const nodes = [...NODES, { sa: 3, pgn: 0, period: 20 }]
    expect(verdicts(await judge({ nodes, silent: [{ sa: 3, pgn: 0, hole: [5, 25] }] }))).toMatchObject({
      'missing-messages': 'pass',
    })
  })

  it('that comes late too often is a caution', async () => {
    const late = Array.from({ length: 40 }, (_, i) => ({
      sa: 11,
      pgn: 61441,
      hole: [5 + i * 0.5, 5.08 + i * 0.5] as Hole,
    }))
    const result = (await judge({ silent: late })).get('late-messages')
    expect(result?.verdict).toBe('caution')
    expect(result?.finding).toContain('(address 11)')
  })
})

describe('addresses', () => {
  const other = { identityNumber: 2, function: 60 }

  it('two NAMEs that both stay at one address fail', async () => {
    const results = await judge({ others: [claim(0.0005, 3), claim(0.3, 3, other)] })
    expect(results.get('address-conflict')?.verdict).toBe('fail')
    expect(results.get('address-conflict')?.finding).toContain('address 3')
  })

  it('a loser that moves settles it', async () => {
    const results = await judge({ others: [claim(0.0005, 3), claim(0.3, 3, other), claim(0.4, 130, other)] })
    expect(results.get('address-conflict')?.verdict).toBe('pass')
    expect(results.get('address-conflict')?.finding).toContain('1 contest was settled')
  })

  it('a NAME that finds no address fails', async () => {
    expect(verdicts(await judge({ others: [claim(0.0005, 3), claim(0.3, 254, other)] }))).toMatchObject({
      'address-conflict': 'fail',
    })
  })

  it('without any claim nothing is judged', async () => {
    expect(verdicts(await judge({}))).toMatchObject({ 'address-conflict': 'not-judged' })
  })
})

describe('load', () => {
  // 8 data bytes take 131 to 160 bits (bit-load formula of the standard frame), so at 250 kbit/s
  // 900 frames a second are 47 to 58 %, 1,450 are 76 to 93 %.
  test.each<[number, 'pass' | 'caution']>([
    [5, 'pass'],
    [1.11, 'caution'],
    [0.69, 'caution'],
  ])('one message every %d ms: %s', async (period, verdict) => {
    const results = await judge({ nodes: [{ sa: 3, pgn: 61442, period, data: '01 23 45 67 89 AB CD EF' }], length: 4 })
    expect(results.get('bus-load')?.verdict).toBe(verdict)
    expect(results.get('bus-load')?.finding).toContain('taking 250 kbit/s for granted')
  })
})

it('judges nothing where nothing is J1939', async () => {
  const lines = Array.from({ length: 50 }, (_, i) => `(${(at(i / 10) / 1e6).toFixed(6)}) can0 123#00\n`).join('')
  expect(new Set(Object.values(verdicts(await judge({ nodes: [], lines, phases: [] }))))).toEqual(
    new Set(['not-judged']),
  )
})

it('names every check once, and says what a pass proves', () => {
  expect(new Set(BUS_CHECKS.map(({ id }) => id)).size).toBe(BUS_CHECKS.length)
  for (const { title, proves } of BUS_CHECKS) {
    expect(title).toMatch(/^\p{Lu}[^.]+$/u)
    expect(proves).toMatch(/^\p{Lu}.+\.$/u)
  }
})
