import { describe, expect, it } from 'vitest'
import { simulate } from '../simulate.js'
import { SCENARIOS } from './index.js'

interface Spoken {
  readonly sa: number
  readonly spn: number
  readonly fmi: number
}

/** Trouble codes in a fault list: SPN in 19 bits, FMI in 5 (SAE J1939-73, version 4). */
function codesOf(bytes: readonly number[], sa: number): Spoken[] {
  const codes: Spoken[] = []
  for (let at = 2; at + 4 <= bytes.length; at += 4) {
    const [low, middle, high] = bytes.slice(at, at + 3) as [number, number, number]
    const spn = low | (middle << 8) | ((high >> 5) << 16)
    if (spn !== 0 && spn !== 0x7ffff) codes.push({ sa, spn, fmi: high & 31 })
  }
  return codes
}

/** Every fault some node reported by DM1, in one frame or in packets, read without the decoder. */
function spokenFaults(text: string): Spoken[] {
  const spoken: Spoken[] = []
  const open = new Map<number, { readonly length: number; bytes: number[] }>()
  for (const line of text.split('\n')) {
    const match = /(1CECFF|1CEBFF|18FECA)(..)#(\w+)$/.exec(line)
    if (!match) continue
    const [, kind, address, data] = match as unknown as [string, string, string, string]
    const sa = Number.parseInt(address, 16)
    const bytes = (data.match(/../g) ?? []).map((pair) => Number.parseInt(pair, 16))
    if (kind === '18FECA') spoken.push(...codesOf(bytes.slice(0, 6), sa))
    else if (kind === '1CECFF') {
      if (data.endsWith('CAFE00')) open.set(sa, { length: bytes[1] as number, bytes: [] })
      else open.delete(sa)
    } else {
      const session = open.get(sa)
      if (!session) continue
      session.bytes.push(...bytes.slice(1))
      if (session.bytes.length >= session.length) {
        spoken.push(...codesOf(session.bytes.slice(0, session.length), sa))
        open.delete(sa)
      }
    }
  }
  return spoken
}

const key = ({ sa, spn, fmi }: Spoken): string => `${sa}: ${spn}/${fmi}`
const keys = (faults: readonly Spoken[]): Set<string> => new Set(faults.map(key))

describe.each(SCENARIOS)('$name', ({ name, expected, failures, cause }) => {
  const simulation = simulate(name, { seed: 3 })
  let text = ''
  for (const chunk of simulation.chunks) text += chunk
  const truth = simulation.truth()

  it('reports the faults its story promises and no other, on the bus and in the truth', () => {
    expect(keys(spokenFaults(text))).toEqual(keys(expected))
    expect(keys(truth.episodes)).toEqual(keys(expected))
  })

  it('tells the truth: what was broken and when, and phases without gaps in their right order', () => {
    expect(truth.injected.map(({ component }) => component)).toEqual(failures.map(({ component }) => component))
    for (const { onset } of truth.injected) expect(onset).not.toBeNull()
    for (const { from, to } of truth.phases) expect(to).toBeGreaterThan(from)
    for (let i = 1; i < truth.phases.length; i++) {
      expect(truth.phases[i]?.from).toBeGreaterThanOrEqual(truth.phases[i - 1]?.to as number)
    }
    const phases = truth.phases.map(({ phase }) => phase)
    expect(phases[0]).toBe('key-on')
    expect(phases.indexOf('cranking')).toBeLessThan(phases.indexOf('run-up'))
    expect(phases.indexOf('run-up')).toBeLessThan(phases.indexOf('idle'))
    expect(phases.at(-1)).toBe('after-run')
    expect(truth.rootCause).toBe(cause)
    if (expected.length > 0) expect(expected.some(({ root }) => root)).toBe(true)
  })

  it('reports nothing before something is broken', () => {
    const first = Math.min(...truth.injected.map(({ onset }) => onset ?? Number.POSITIVE_INFINITY))
    for (const { from } of truth.episodes) expect(from).toBeGreaterThan(first)
  })
})
