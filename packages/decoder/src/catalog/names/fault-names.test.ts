import { readdirSync, readFileSync } from 'node:fs'
import { gzipSync } from 'node:zlib'
import { describe, expect, it } from 'vitest'
import { findSignals, GROUPS } from '../built-in.js'
import { signalsOf } from '../definition.js'
import { SOURCES, type SourceId } from '../sources.js'
import {
  FAULT_NAME_SOURCES,
  FAULT_TABLES,
  faultName,
  faultNameConfirmed,
  faultNameSources,
  faultNamesOf,
} from './index.js'

/** Highest SPN that a fault can carry: 19 bits, of which all ones means none. */
const HIGHEST_SPN = 524_286
/** Abbreviations, units and formulas that a name may hold besides lower-case words and numbers. */
const CAPITALS = new Set(
  (
    'A AB BC CA A/C ABS ABS/EBS AC ACC ASR ATC/ASR ATC B C DC DEF DOC DPF EBI EBS ECU ECUs EGR FMI I/O J1587 J1939 ' +
    'Kp NH3 NOx O2 PTO PWM RMS ROP SCR VDC VGT XBR YC kWh'
  ).split(' '),
)

const names = [...faultNamesOf(FAULT_TABLES)]
const carried = new Set(GROUPS.flatMap(signalsOf).map(({ spn }) => spn))
/** Every SPN that has a name, in a table or in a parameter group. */
const known = new Set([...names.map(([spn]) => spn), ...carried])

function repeated<T>(values: readonly T[]): T[] {
  return values.filter((value, index) => values.indexOf(value) !== index)
}

describe('fault tables', () => {
  it('name, with the parameter groups, more than 1,600 SPNs', () => {
    expect(known.size).toBeGreaterThan(1600)
  })

  it('hold SPNs a fault can carry', () => {
    expect(names.filter(([spn]) => !(Number.isInteger(spn) && spn >= 1 && spn <= HIGHEST_SPN))).toEqual([])
  })

  it('name each SPN once', () => {
    const single = FAULT_TABLES.flatMap((table) => Object.keys(table.names).map(Number))
    const runs = FAULT_TABLES.flatMap((table) => table.series ?? [])
    const inRuns = runs.flatMap(({ first, count }) => Array.from({ length: count }, (_, i) => first + i))
    expect(repeated([...single, ...inRuns])).toEqual([])
    expect(single.length + inRuns.length).toBe(names.length)
  })

  it('give each SPN a name of its own', () => {
    expect(repeated([...known].map((spn) => faultName(spn)?.toLowerCase()))).toEqual([])
  })

  it('list series in rising order', () => {
    for (const table of FAULT_TABLES) {
      const firsts = (table.series ?? []).map((series) => series.first)
      expect(firsts, table.theme).toEqual(firsts.toSorted((a, b) => a - b))
    }
  })

  it('have a number in the name of every series', () => {
    const series = FAULT_TABLES.flatMap((table) => table.series ?? [])
    expect(series.length).toBeGreaterThan(10)
    expect(series.filter(({ name, count }) => name.split('#').length !== 2 || count < 2)).toEqual([])
  })

  it('write names in one style: a capital first, then lower case, numbers and known abbreviations', () => {
    const isPlain = (word: string) => CAPITALS.has(word) || /^([a-z][a-z'/-]*|\d+)$/.test(word)
    const offenders = names.filter(([, name]) => {
      const [first, ...rest] = name.replace(/[,()]/g, '').split(' ')
      const startsWell =
        CAPITALS.has(first) || /^\d+$/.test(first) || isPlain(first.replace(/^[A-Z]/, (c) => c.toLowerCase()))
      return /^[a-z]/.test(name) || !startsWell || !rest.every(isPlain)
    })
    expect(offenders).toEqual([])
  })

  it('leave to the parameter groups what these carry; a run that holds such an SPN gives it the same name', () => {
    const single = FAULT_TABLES.flatMap((table) => Object.keys(table.names).map(Number))
    expect(single.filter((spn) => carried.has(spn))).toEqual([])
    const inRuns = names.filter(([spn]) => carried.has(spn))
    expect(inRuns.filter(([spn, name]) => findSignals(spn)[0]?.signal.name !== name)).toEqual([])
  })

  it('are all in the list of tables', async () => {
    const files = readdirSync(new URL('.', import.meta.url))
    const themes = files.flatMap((file) => /^faults-([a-z]+)\.ts$/.exec(file)?.[1] ?? [])
    const modules = await Promise.all(themes.map((theme) => import(`./faults-${theme}.ts`)))
    expect(new Set(modules.flatMap((module) => Object.values(module)))).toEqual(new Set(FAULT_TABLES))
  })

  it('stay small: all name tables under 35 kB compressed', () => {
    const folder = new URL('.', import.meta.url)
    const sources = readdirSync(folder).filter((file) => file.endsWith('.ts') && !file.endsWith('.test.ts'))
    const text = sources.map((file) => readFileSync(new URL(file, folder), 'utf8')).join('')
    expect(sources.length).toBeGreaterThan(15)
    expect(gzipSync(text).length).toBeLessThan(35_000)
  })
})

describe('faultNamesOf', () => {
  it('counts a series from its start, and takes the later of two names', () => {
    const first = {
      theme: 'a',
      source: 'memory',
      names: { 5: 'Five' },
      series: [{ first: 10, count: 3, name: 'Item # on' }],
    } as const
    const second = {
      theme: 'b',
      source: 'memory',
      names: { 5: 'V' },
      series: [{ first: 20, count: 2, start: 0, name: 'At #' }],
    } as const
    expect([...faultNamesOf([first, second])]).toEqual([
      [5, 'V'],
      [10, 'Item 1 on'],
      [11, 'Item 2 on'],
      [12, 'Item 3 on'],
      [20, 'At 0'],
      [21, 'At 1'],
    ])
  })
})

describe('faultName', () => {
  it.each([
    [629, 'Controller 1'],
    [651, 'Engine fuel 1 injector cylinder 1'],
    [674, 'Engine fuel 1 injector cylinder 24'],
    [1132, 'Engine intake manifold 3 temperature'],
    [2000, 'Network member at source address 0'],
    [2003, 'Network member at source address 3'],
    [2253, 'Network member at source address 253'],
    [3509, 'Sensor supply voltage 1'],
    [3514, 'Sensor supply voltage 6'],
    [5126, 'Sensor supply voltage 8'],
  ])('knows SPN %i', (spn, name) => {
    expect(faultName(spn)).toBe(name)
  })

  it.each([0, 2254, 2255, 300_000, 520_800, 524_287])('does not know SPN %i', (spn) => {
    expect(faultName(spn)).toBeUndefined()
  })

  it('takes the name of the signal first', () => {
    expect(faultName(110, () => 'From the group')).toBe('From the group')
    expect(faultName(651, () => undefined)).toBe('Engine fuel 1 injector cylinder 1')
    expect(faultName(520_800, (spn) => `Own ${spn}`)).toBe('Own 520800')
  })

  /** Parameters and circuits of a common-rail diesel that the reasoning about faults speaks of; chosen by hand. */
  const NEEDED = [
    ...[110, 105, 172, 171, 174, 175, 412, 100, 102, 94, 108, 3251, 157, 97, 132, 91, 29, 2623, 558, 168, 158],
    ...[190, 636, 723, 637, 729, 730, 1136, 620, 1079, 1080, 3509, 3510, 3511, 3512, 639, 1231, 2000, 2253],
    ...[27, 2791, 411, 641, 2795, 1188, 651, 652, 653, 654, 1347, 1075, 677, 1485, 3216, 3226, 3242, 3246, 4765],
    ...[1761, 5246, 111, 107, 1569, 608, 611, 615, 625, 629, 639, 1235, 3514, 3597, 676, 626, 3364, 4334, 5394],
  ]
  it.each([...new Set(NEEDED)])('has a name for SPN %i', (spn) => {
    expect(faultName(spn)).toMatch(/^\w/)
  })
})

describe('sources of fault names', () => {
  it('have a title, and name known SPNs, each once', () => {
    for (const [id, spns] of Object.entries(FAULT_NAME_SOURCES)) {
      expect(SOURCES[id as SourceId], id).toMatch(/^\w/)
      expect(id).not.toBe('memory')
      expect(repeated(spns), id).toEqual([])
      expect(
        spns.filter((spn) => !known.has(spn)),
        id,
      ).toEqual([])
    }
  })

  it.each([
    [2802, ['towed-manual'], 1],
    // The sources of its parameter group and those that only name it.
    [190, ['genset', 'course', 'positions', 'fan', 'compressor-manual', 'dm1-manual', 'controller-manual'], 7],
    [899, ['truck', 'truck-fms', 'course'], 2],
    [651, ['memory'], 0],
    [2003, ['memory'], 0],
  ])('SPN %i: %j', (spn, sources, confirmed) => {
    expect(new Set(faultNameSources(spn))).toEqual(new Set(sources))
    expect(faultNameConfirmed(spn)).toBe(confirmed)
  })
})
