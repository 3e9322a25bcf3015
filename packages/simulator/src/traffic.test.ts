/**
 * The traffic against statistics of real recordings: an open data set of two trucks (public repository,
 * MIT licence), 12 s with the engine running and 63 s with it off, 826 frames a second from 30 nodes.
 *
 * | id in the recording | period | standard deviation of the interval |
 * |---|---|---|
 * | engine speed, 0CF00400 | 10.0 ms | 0.41–0.46 ms |
 * | engine groups of 100 ms (11 of them) | 100.0 ms | 0.28–0.96 ms |
 * | engine groups of 500 ms (4) | 499.8–500.0 ms | 0.32–0.74 ms |
 * | engine groups of 1 s (20) | 1000.0–1000.3 ms | 0.02–0.76 ms |
 * | another node's groups of 100 ms | 100.0 ms | 3.9–4.7 ms (p5 90, p95 109) |
 * | groups of a cab controller | 1001.3–1001.7 ms | 0.9–1.3 ms |
 * | DM1 of every node | 999.9–1001.7 ms | 0.16–1.9 ms |
 * | packets of a broadcast | 50.0–50.2 ms | p5 49.1; 42 to 58 ms elsewhere |
 */
import { describe, expect, it } from 'vitest'
import { writeLog } from './simulate.js'

const { text, truth } = writeLog('clean-first-start', { seed: 12 })
const frames = text
  .split('\n')
  .filter(Boolean)
  .map((line) => ({
    t: Number(line.slice(1, 18)) - truth.startMicros / 1e6,
    id: line.slice(25, 33),
    data: line.slice(34),
  }))

/** Mean and spread of the intervals of one id while the engine runs, ms. */
function rhythm(id: string): { mean: number; spread: number; least: number; most: number } {
  const times = frames.filter((frame) => frame.id === id && frame.t > 20 && frame.t < 150).map(({ t }) => t * 1000)
  const intervals = times.slice(1).map((t, i) => t - (times[i] as number))
  const mean = intervals.reduce((sum, interval) => sum + interval, 0) / intervals.length
  const spread = Math.sqrt(intervals.reduce((sum, interval) => sum + (interval - mean) ** 2, 0) / intervals.length)
  return { mean, spread, least: Math.min(...intervals), most: Math.max(...intervals) }
}

describe('rhythm', () => {
  it.each([
    ['engine speed', '0CF00400', 20],
    ['pedal and load', '0CF00300', 50],
    ['air mass', '0CF00A00', 50],
    ['exhaust gas valve', '18FD9400', 100],
    ['fuel rate', '18FEF200', 100],
    ['desired speed', '18FEDF00', 250],
    ['pressures', '18FEEF00', 500],
    ['intake', '18FEF600', 500],
    ['temperatures', '18FEEE00', 1000],
    ['volts', '18FEF700', 1000],
    ['gearbox speeds', '0CF00203', 20],
    ['wheels', '18FEBF0B', 100],
  ])('%s (%s): every %i ms, as steady as a real controller', (_, id, period) => {
    const { mean, spread, least, most } = rhythm(id)
    expect(Math.abs(mean / period - 1)).toBeLessThan(0.0005)
    expect(spread).toBeGreaterThan(0.15)
    expect(spread).toBeLessThan(1)
    expect(least).toBeGreaterThan(0.9 * period - 1.2)
    expect(most).toBeLessThan(1.1 * period + 1.2)
  })

  it('the body controller is less steady, and its clock is fast or slow by a promille', () => {
    const speed = rhythm('18FEF121')
    expect(Math.abs(speed.mean - 100.12)).toBeLessThan(0.1)
    expect(speed.spread).toBeGreaterThan(2)
    expect(speed.spread).toBeLessThan(5)
    expect(Math.abs(rhythm('18FEFC21').mean - 1001.2)).toBeLessThan(0.8)
  })

  it('DM1 comes once a second from every node', () => {
    for (const sa of ['00', '03', '0B', '21', '28']) {
      const { mean } = rhythm(`18FECA${sa}`)
      expect(Math.abs(mean - 1000.8)).toBeLessThan(1.6)
    }
  })

  it('broadcast packets follow each other within 42 to 58 ms', () => {
    const packets = frames.filter(({ id }) => id === '1CEBFF00')
    const pauses = packets
      .slice(1)
      .map((frame, i) => ({ next: frame, pause: (frame.t - (packets[i]?.t ?? 0)) * 1000 }))
      .filter(({ next }) => !next.data.startsWith('01'))
      .map(({ pause }) => pause)
    expect(pauses.length).toBeGreaterThan(50)
    expect(Math.min(...pauses)).toBeGreaterThan(40)
    expect(Math.max(...pauses)).toBeLessThan(60)
  })
})

describe('load', () => {
  it('is that of a small bus: under the 40 % that are common practice, and never two frames at once', () => {
    // Real trucks of the data set: 540 to 830 frames a second, 31 to 38 % of 250 kbit/s.
    const running = frames.filter(({ t }) => t > 30 && t < 130)
    const perSecond = running.length / 100
    const bits = running.reduce((sum, { data }) => sum + 67 + 8 * (data.length / 2), 0) / 100
    expect(perSecond).toBeGreaterThan(200)
    expect(perSecond).toBeLessThan(400)
    expect(bits / 250_000).toBeGreaterThan(0.08)
    expect(bits / 250_000).toBeLessThan(0.4)
    // Shortest frame: 3 bytes, 91 bits without stuffing, 364 µs.
    const apart = running.slice(1).map(({ t }, i) => t - (running[i]?.t ?? 0))
    expect(Math.min(...apart)).toBeGreaterThan(360e-6)
  })
})

describe('who is there', () => {
  it('every node claims first, with a NAME of its own, and answers when asked who is there', () => {
    const claims = frames.filter(({ id }) => id.startsWith('18EEFF'))
    expect(new Set(claims.map(({ data }) => data)).size).toBe(5)
    for (const sa of ['00', '03', '0B', '21', '28']) {
      expect(frames.find(({ id }) => id.endsWith(sa) && !id.startsWith('1CEC'))?.id).toBe(`18EEFF${sa}`)
    }
    const asked = frames.find(({ id, data }) => id === '18EAFF28' && data === '00EE00')?.t ?? Number.NaN
    const answers = claims.filter(({ t }) => t > asked && t < asked + 0.1)
    expect(answers.length).toBe(4)
  })

  it('the gauge gets the engine’s name, software and unit number, the VIN by broadcast, and a refusal', () => {
    const text = (prefix: string): string =>
      frames
        .filter(({ id }) => id === prefix)
        .map(({ data }) => data.slice(2))
        .join('')
        .replace(/../g, (pair) => String.fromCharCode(Number.parseInt(pair, 16)))
    expect(text('1CEB2800')).toContain('INVENT*R30-4CR*R30-000417*BERGRETTUNG 7*')
    expect(text('1CEB2800')).toContain('R30-CAL-0215*EC7-BASE-4.2*')
    expect(text('1CEBFF00')).toContain('00RESCUETRUCK0007*')
    const refused = frames.filter(({ id, data }) => id === '18E8FF00' && data === '01FFFFFF2856FE00')
    expect(refused).toHaveLength(1)
  })

  it('sends one group nobody has a definition for', () => {
    expect(frames.filter(({ id }) => id === '18FF1200').length).toBeGreaterThan(100)
  })
})
