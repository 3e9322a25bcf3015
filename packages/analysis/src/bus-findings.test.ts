/**
 * Buses made by hand: a few nodes that send in a rhythm, and one thing that is different. Everything in
 * them is invented.
 */
import { encodeName, type NameFields, openRecording } from '@firstcrank/decoder'
import { describe, expect, it, test } from 'vitest'
import { type LogFrame, printFrame, printTime, utf8 } from '../../../tests/support/log.js'
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
  /** Error frames, and what else is no frame of J1939. */
  readonly errors?: readonly (readonly [at: number, frame: string, channel?: string])[]
  readonly phases?: readonly (readonly [PhaseKind, from: number, to: number])[]
  readonly expected?: readonly { readonly sa: number; readonly name: string }[]
  readonly length?: number
}

/** `20000000` marks an error frame, its other bits are the classes. Bits: the kernel's header linux/can/error.h. */
const BROKEN = '20000088#0000040300000000'
const RX_PASSIVE = '20000004#0010000000000087'
const TX_PASSIVE = '20000004#0020000000008700'
const RX_WARNING = '20000004#0004000000000060'
const ACTIVE = '20000004#0040000000000000'
const BUS_OFF = '20000040#0000000000000000'
const RESTARTED = '20000100#0000000000000000'

const within = (t: number, [from, to]: Hole): boolean => t > from && t < to

async function judge(bus: Bus): Promise<ReadonlyMap<string, CheckResult>> {
  const { nodes = NODES, holes = [], silent = [], others = [], errors = [], length = LENGTH } = bus
  const frames: LogFrame[] = others.map(({ at: seconds, ...frame }) => ({ ...frame, time: at(seconds) }))
  nodes.forEach(({ sa, pgn, period, data = 'FF FF FF FF FF FF FF FF', channel = 'can0' }, index) => {
    for (let t = 0.001 * index; t < length; t += period / 1000) {
      const isSilent = silent.some((one) => one.sa === sa && (one.pgn ?? pgn) === pgn && within(t, one.hole))
      if (isSilent || holes.some((hole) => within(t, hole))) continue
      frames.push({ time: at(t), sa, pgn, data, channel })
    }
  })
  const lines = [
    ...frames.map((frame) => ({ time: frame.time, line: printFrame(frame) })),
    ...errors.map(([seconds, frame, channel = 'can0']) => ({
      time: at(seconds),
      line: `${printTime(at(seconds))} ${channel} ${frame}`,
    })),
  ].sort((a, b) => a.time - b.time)
  const text = lines.map(({ line }) => `${line}\n`).join('')
  const recording = await openRecording(utf8(text), { summary: true })
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

describe('what the recorder’s own controller met', () => {
  const checkOf = async (errors: NonNullable<Bus['errors']>, bus: Bus = {}): Promise<CheckResult> =>
    (await judge({ ...bus, errors })).get('error-frames') as CheckResult
  const placesOf = ({ evidence }: CheckResult): (readonly [number, number])[] =>
    evidence.map(({ from, to }) => [(from - KEY_ON) / 1e6, (to - KEY_ON) / 1e6])

  it('is told with the time of the first and the last error frame', async () => {
    const check = await checkOf([
      [4.5, BROKEN],
      [7.25, BROKEN],
    ])
    expect(check).toMatchObject({ verdict: 'caution', finding: '2 error frames recorded.' })
    expect(placesOf(check)).toEqual([[4.5, 7.25]])
    expect(check.advice).toMatch(/^Key off/)
  })

  it('is a caution where it was error-passive for a moment', async () => {
    const check = await checkOf([
      [4, RX_WARNING],
      [5, RX_PASSIVE],
      [5.5, BROKEN],
      [5.75, RX_WARNING],
      [9, ACTIVE],
    ])
    expect(check.verdict).toBe('caution')
    expect(check.finding).toContain('The recorder’s own controller was error-passive once, for up to 0.75 s.')
    expect(check.finding).toContain('Which node is at fault this does not say.')
    expect(check.finding).not.toContain('acknowledge')
    expect(placesOf(check)).toEqual([
      [4, 9],
      [5, 5.75],
    ])
    expect(check.advice).toMatch(/^First the recorder itself: its bit rate/)
    expect(check.limits.map(({ id }) => id)).toEqual(['error-frames.none', 'error-frames.passive-to'])
  })

  it('is a fail where it stayed error-passive, and says so of what it sent', async () => {
    const check = await checkOf([
      [5, TX_PASSIVE],
      [7.5, ACTIVE],
    ])
    expect(check.verdict).toBe('fail')
    expect(check.finding).toContain('nobody there to acknowledge what it sent')
    expect(check.evidence[1]?.text).toBe('The recorder’s own controller was error-passive by what it sent for 2.50 s.')
  })

  it('counts only what is known where its return was not recorded', async () => {
    const check = await checkOf([
      [5, RX_PASSIVE],
      [5.4, BROKEN],
    ])
    expect(check.verdict).toBe('caution')
    expect(placesOf(check)[1]).toEqual([5, 5.4])
    expect(check.evidence[1]?.text).toContain('its return was not recorded')
  })

  it('is a fail where it left the bus, until it heard the next message or restarted', async () => {
    const heard = await checkOf([[10.0005, BUS_OFF]], { holes: [[10.0004, 13.7]] })
    expect(heard.verdict).toBe('fail')
    expect(heard.finding).toContain('The recorder’s own controller left the bus (bus-off) once, for up to 3.70 s.')
    expect(placesOf(heard)[1]?.[1]).toBeCloseTo(13.7, 1)
    const restarted = await checkOf(
      [
        [10, BUS_OFF],
        [11, RESTARTED],
      ],
      { holes: [[9.999, 12]] },
    )
    expect(placesOf(restarted)[1]).toEqual([10, 11])
    const never = await checkOf([[29, BUS_OFF]], { holes: [[28.999, 31]] })
    expect(never.evidence[1]?.text).toContain('it was not heard of again')
  })

  it('leaves a hole to the recorder that had left the bus', async () => {
    const results = await judge({ holes: [[10.0004, 13.7]], errors: [[10.0005, BUS_OFF]] })
    expect(verdicts(results)).toMatchObject({ 'bus-silence': 'pass', 'recorder-holes': 'not-judged' })
    expect(results.get('recorder-holes')?.finding).toMatch(/stretch\. The recorder’s own controller had left the bus/)
  })

  it('keeps two interfaces apart', async () => {
    const check = await checkOf([
      [5, RX_PASSIVE, 'can0'],
      [6, ACTIVE, 'can1'],
      [6.5, ACTIVE, 'can0'],
    ])
    expect(check.verdict).toBe('fail')
    expect(placesOf(check)).toContainEqual([5, 6.5])
  })

  it('says that states are known of the first 1,000 only', async () => {
    const errors = Array.from({ length: 1002 }, (_, i) => [5 + i / 1000, BROKEN] as const)
    expect((await checkOf(errors)).finding).toBe('1002 error frames recorded; states are known of the first 1000 only.')
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
    const results = await judge({ holes: [[10, 10.6]], errors: [[10.7, BROKEN]] })
    expect(verdicts(results)).toMatchObject({ 'bus-silence': 'fail', 'error-frames': 'fail' })
    expect(results.get('bus-silence')?.evidence[0]?.text).toContain('Error frames were recorded then')
  })

  it('is not the bus’s for error frames of another time, or of another interface', async () => {
    const other = NODES.map((node) => ({ ...node, channel: 'can1' }))
    const early = await judge({ holes: [[10, 13.7]], errors: [[5, BROKEN]] })
    const elsewhere = await judge({ nodes: [...NODES, ...other], holes: [[10, 13.7]], errors: [[11, BROKEN, 'can1']] })
    expect(verdicts(early)).toMatchObject({ 'bus-silence': 'pass', 'error-frames': 'caution' })
    expect(verdicts(elsewhere)).toMatchObject({ 'recorder-holes': 'not-judged' })
    expect(elsewhere.get('recorder-holes')?.evidence).toHaveLength(1)
  })

  it('cannot be told where it is too short for a node to notice', async () => {
    const results = await judge({ holes: [[10, 10.5]] })
    expect(verdicts(results)).toMatchObject({ 'bus-silence': 'caution', 'recorder-holes': 'not-judged' })
    expect(results.get('recorder-holes')?.finding).toMatch(
      /^Not judged: the bus or the recorder was silent for 0\.50 s/,
    )
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
  const errors = Array.from({ length: 50 }, (_, i) => [i / 10, '123#00'] as const)
  expect(new Set(Object.values(verdicts(await judge({ nodes: [], errors, phases: [] }))))).toEqual(
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
