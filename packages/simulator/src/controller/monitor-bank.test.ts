import { describe, expect, it } from 'vitest'
import { FaultMemory } from './fault-memory.js'
import { type Monitor, MonitorBank } from './monitor-bank.js'

interface View {
  bad: boolean
  awake: boolean
}

const MONITOR: Monitor<View> = {
  spn: 100,
  fmi: 1,
  lamp: 'red',
  set: 0.5,
  heal: 1,
  enabled: (view) => view.awake,
  failing: (view) => view.bad,
}

/** Runs a bank through stretches of `[seconds, bad, awake]` and tells when what became of the fault. */
function run(stretches: readonly (readonly [seconds: number, bad: boolean, awake?: boolean])[]): {
  memory: FaultMemory
  changes: [number, boolean][]
} {
  const memory = new FaultMemory()
  const bank = new MonitorBank([MONITOR], memory)
  const view = { bad: false, awake: true }
  let step = 0
  for (const [seconds, bad, awake = true] of stretches) {
    view.bad = bad
    view.awake = awake
    for (let i = 0; i < Math.round(seconds * 50); i++) {
      step++
      bank.step(0.02, step * 20_000, view, () => Uint8Array.of(7))
    }
  }
  return { memory, changes: memory.events.map(({ time, active }) => [time / 1e6, active]) }
}

describe('MonitorBank', () => {
  it('sets after its time and heals after its time', () => {
    const { changes } = run([
      [1, false],
      [1, true],
      [2, false],
    ])
    expect(changes).toEqual([
      [1.5, true],
      [3, false],
    ])
  })

  it('does not set on something shorter, and says meanwhile that it is pending', () => {
    const { memory, changes } = run([
      [0.4, true],
      [5, false],
    ])
    expect(changes).toEqual([])
    expect(run([[0.4, true]]).memory.faults[0]?.pending).toBe(true)
    expect(memory.faults[0]?.pending).toBe(false)
  })

  it('neither finds nor heals while it may not judge', () => {
    const { changes } = run([
      [3, true, false],
      [0.6, true],
      [5, false, false],
      [0.5, false],
    ])
    expect(changes).toEqual([[3.5, true]])
  })

  it('counts every time anew, keeps the freeze frame, and remembers after healing', () => {
    const { memory } = run([
      [1, true],
      [2, false],
      [1, true],
      [2, false],
    ])
    expect(memory.active()).toEqual([])
    expect(memory.previouslyActive()).toMatchObject([{ spn: 100, fmi: 1, count: 2, freeze: Uint8Array.of(7) }])
    expect(memory.isActive(100)).toBe(false)
  })

  it('forgets when cleared; what is still wrong comes back with a count of one', () => {
    const memory = new FaultMemory()
    const bank = new MonitorBank([MONITOR], memory)
    const view = { bad: true, awake: true }
    for (let i = 1; i <= 100; i++) bank.step(0.02, i * 20_000, view)
    expect(memory.isActive(100, 1)).toBe(true)
    expect(memory.isActive(100, 3)).toBe(false)
    memory.clear(2_000_000)
    expect(memory.active()).toEqual([])
    expect(memory.previouslyActive()).toEqual([])
    bank.step(0.02, 2_020_000, view)
    expect(memory.active()).toMatchObject([{ count: 1 }])
  })

  it('counts to 126 and no further', () => {
    const memory = new FaultMemory()
    const fault = memory.entry(91, 2, 'amber', false)
    for (let i = 0; i < 200; i++) {
      memory.set(fault, true, i)
      memory.set(fault, false, i)
    }
    expect(fault.count).toBe(126)
  })
})
