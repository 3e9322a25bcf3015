import { describe, expect, it } from 'vitest'
import { Bus } from '../bus/bus.js'
import { FaultMemory } from '../controller/fault-memory.js'
import { Random } from '../random.js'
import { nodeName } from './identity.js'
import { Node, type NodeOptions } from './node.js'

const START = 1_700_000_000_000_000

interface Line {
  /** s since START. */
  readonly t: number
  readonly id: string
  readonly data: string
}

/** A bus with some nodes, and a way to let time pass. */
function make(...nodes: Partial<NodeOptions>[]): {
  nodes: Node[]
  bus: Bus
  run: (seconds: number, volts?: number, powered?: boolean) => Line[]
} {
  const bus = new Bus({ interface: 'can0', bitRate: 250_000, errorFrames: false, holes: [] }, new Random(1))
  const made = nodes.map(
    (options, i) =>
      new Node(
        {
          address: 10 + i,
          name: nodeName(3, 100 + i),
          boot: 0.1,
          clockError: 0,
          jitter: 300,
          memory: new FaultMemory(),
          messages: [],
          answers: new Map(),
          ...options,
        },
        bus,
        new Random(20 + i),
      ),
  )
  let time = START
  return {
    nodes: made,
    bus,
    run: (seconds, volts = 12.6, powered = true) => {
      for (let i = 0; i < seconds * 100; i++) {
        for (const node of made) node.step(time, 0.01, powered, volts)
        time += 10_000
        bus.advance(time)
      }
      return bus.writer
        .take()
        .split('\n')
        .filter(Boolean)
        .map((line) => {
          const [, at, id, data] = /^\(([\d.]+)\) can0 (\w+)#(\w*)$/.exec(line) ?? []
          return { t: Number(at) - START / 1e6, id: id as string, data: data as string }
        })
    },
  }
}

const of = (lines: readonly Line[], id: string): Line[] => lines.filter((line) => line.id === id)

describe('waking', () => {
  it('claims first, sends data 250 ms later', () => {
    const { run } = make({ messages: [{ pgn: 65262, period: 100, bytes: () => Uint8Array.of(1) }] })
    const lines = run(1)
    expect(lines[0]).toMatchObject({ id: '18EEFF0A', data: '6400000000030010' })
    expect(lines[0]?.t).toBeGreaterThan(0.09)
    expect(lines[0]?.t).toBeLessThan(0.11)
    expect((lines[1]?.t ?? 0) - (lines[0]?.t ?? 0)).toBeGreaterThan(0.249)
    expect(of(lines, '18FEEE0A').length).toBeGreaterThan(5)
  })

  it('is silent without power', () => {
    const { run } = make({})
    expect(run(2, 12.6, false)).toEqual([])
    expect(run(1).length).toBeGreaterThan(0)
    expect(run(1, 12.6, false)).toEqual([])
  })
})

describe('rhythm', () => {
  it('keeps its periods on average and each interval within 10 %', () => {
    const { run } = make({
      jitter: 5000,
      messages: [
        { pgn: 61444, period: 20, bytes: () => Uint8Array.of(1) },
        { pgn: 65265, period: 100, bytes: () => Uint8Array.of(1) },
      ],
    })
    const lines = run(60)
    for (const [id, period] of [
      ['0CF0040A', 0.02],
      ['18FEF10A', 0.1],
    ] as const) {
      const times = of(lines, id).map(({ t }) => t)
      const intervals = times.slice(1).map((t, i) => t - (times[i] as number))
      const mean = ((times.at(-1) as number) - (times[0] as number)) / intervals.length
      expect(Math.abs(mean / period - 1)).toBeLessThan(0.001)
      // The bus itself adds up to two frames of waiting.
      expect(Math.min(...intervals)).toBeGreaterThan(0.9 * period - 0.0012)
      expect(Math.max(...intervals)).toBeLessThan(1.1 * period + 0.0012)
      expect(Math.max(...intervals) - Math.min(...intervals)).toBeGreaterThan(0.05 * period)
    }
  })

  it('runs by its own clock', () => {
    const { run } = make({
      clockError: 0.0015,
      messages: [{ pgn: 65262, period: 1000, bytes: () => Uint8Array.of(1) }],
    })
    const times = of(run(60), '18FEEE0A').map(({ t }) => t)
    expect(((times.at(-1) as number) - (times[0] as number)) / (times.length - 1)).toBeCloseTo(1.0015, 4)
  })

  it('sends DM1 once a second and at once when something changed', () => {
    const memory = new FaultMemory()
    const { run } = make({ memory })
    const quiet = of(run(10), '18FECA0A')
    expect(quiet.length).toBeGreaterThanOrEqual(9)
    expect(quiet.every(({ data }) => data === '00FF00000000FFFF')).toBe(true)
    memory.set(memory.entry(110, 0, 'red', false), true, 0)
    const changed = of(run(0.1), '18FECA0A')
    expect(changed[0]?.data).toBe('10FF6E000001FFFF')
  })
})

describe('requests', () => {
  const answers = new Map([
    [65259, () => Uint8Array.from({ length: 12 }, (_, i) => 0x30 + i)],
    [65253, () => Uint8Array.of(9, 8, 7, 6, 5, 4, 3, 2)],
  ])

  it('answers short ones to all, long ones in packets, and refuses what it has not', () => {
    const { nodes, run } = make({ answers }, {})
    run(1)
    const asker = nodes[1] as Node
    for (const pgn of [65253, 65259, 65110]) asker.request(pgn, 10, START + 1_100_000)
    const lines = run(1)
    expect(of(lines, '18EA0A0B').map(({ data }) => data)).toEqual(['E5FE00', 'EBFE00', '56FE00'])
    expect(of(lines, '18FEE50A').map(({ data }) => data)).toEqual(['0908070605040302'])
    // To the one who asked: request to send, clearance, two packets, end of message.
    expect(of(lines, '1CEC0B0A').map(({ data }) => data)).toEqual(['100C0002FFEBFE00'])
    expect(of(lines, '1CEC0A0B').map(({ data }) => data)).toEqual(['110201FFFFEBFE00', '130C0002FFEBFE00'])
    expect(of(lines, '1CEB0B0A').map(({ data }) => data)).toEqual(['0130313233343536', '023738393A3BFFFF'])
    // Acknowledgement to all, control byte 1: no; byte 5 names who asked.
    expect(of(lines, '18E8FF0A').map(({ data }) => data)).toEqual(['01FFFFFF0B56FE00'])
  })

  it('answers a question to all by announcing, and only those who have it', () => {
    const { nodes, run } = make({ answers }, {}, {})
    run(1)
    nodes[2]?.request(65259, 255, START + 1_100_000)
    const lines = run(1)
    expect(of(lines, '1CECFF0A').map(({ data }) => data)).toEqual(['200C0002FFEBFE00'])
    expect(lines.filter(({ id }) => id.startsWith('18E8'))).toEqual([])
  })

  it('clears its memory when asked, and says so', () => {
    const memory = new FaultMemory()
    memory.set(memory.entry(91, 2, 'amber', false), true, 0)
    const { nodes, run } = make({ memory }, {})
    run(1)
    nodes[1]?.request(65235, 10, START + 1_100_000)
    const lines = run(1)
    expect(of(lines, '18E8FF0A').map(({ data }) => data)).toEqual(['00FFFFFF0BD3FE00'])
    expect(memory.active()).toEqual([])
  })
})

describe('two nodes, one address', () => {
  it('the lower NAME keeps it, the other says that it cannot claim and is silent', () => {
    const messages = [{ pgn: 65262, period: 100, bytes: () => Uint8Array.of(1) }]
    const { nodes, run } = make({ address: 3, messages }, { address: 3, name: nodeName(60, 1), boot: 0.4, messages })
    const lines = run(3)
    const claims = lines.filter(({ id }) => id.startsWith('18EEFF'))
    expect(claims.map(({ id, data }) => `${id.slice(-2)} ${data}`)).toEqual([
      '03 6400000000030010',
      '03 01000000003C0010',
      '03 6400000000030010',
      'FE 01000000003C0010',
    ])
    expect(nodes.map((node) => node.lost)).toEqual([false, true])
  })

  it('a stubborn one sends on', () => {
    const messages = [{ pgn: 65262, period: 100, bytes: () => Uint8Array.of(1) }]
    const { nodes, run } = make(
      { address: 3 },
      { address: 3, name: nodeName(60, 1), boot: 0.4, stubborn: true, messages },
    )
    const lines = run(3)
    expect(of(lines, '18EEFFFE')).toEqual([])
    expect(of(lines, '18FEEE03').length).toBeGreaterThan(15)
    expect(nodes[1]?.lost).toBe(false)
  })
})

describe('a supply that breaks down', () => {
  it('resets, is silent for half a second, and claims again', () => {
    const { nodes, run } = make({
      resetBelow: 8,
      messages: [{ pgn: 61444, period: 20, bytes: () => Uint8Array.of(1) }],
    })
    run(2)
    const lines = run(2, 7.6)
    expect(nodes[0]?.resets).toBe(1)
    const claim = of(lines, '18EEFF0A')[0] as Line
    const before = lines[lines.indexOf(claim) - 1] as Line
    expect(claim.t - before.t).toBeGreaterThan(0.55)
    expect(claim.t - before.t).toBeLessThan(0.8)
    // It held out for some tenths, and afterwards lives with the low volts.
    expect(before.t).toBeGreaterThan(2.2)
    expect(before.t).toBeLessThan(2.6)
    expect(lines.at(-1)?.t).toBeGreaterThan(3.9)
  })

  it('one without a limit lives on', () => {
    const { nodes, run } = make({})
    run(2)
    run(2, 5)
    expect(nodes[0]?.resets).toBe(0)
  })
})
