import { readdirSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { isDirectedGroup } from '../bus/identifier.js'
import { highestValidRaw, statusOf, VALID } from '../signal/status.js'
import { type GroupDefinition, type SignalDefinition, startBit } from './definition.js'
import { findGroup, findSignals, GROUPS, SOURCES, type SourceId, signalsOf, UNITS } from './index.js'
import { isPublication, publicationsAmong } from './sources.js'

/** Publications that say nothing about position and scale; a figure that rests on them alone is from memory. */
const WITHOUT_POSITION: readonly SourceId[] = ['list', 'fan', 'genset-table', 'charger', 'public-text']

/** Words inside a name that are written with a capital letter, besides abbreviations. */
const CAPITALIZED = new Set(['NOx', 'Kp', 'Ki', 'Hall', 'Ah', 'Wh', 'kVA', 'pH'])

interface Row {
  readonly group: GroupDefinition
  readonly signal: SignalDefinition
}

const rows: Row[] = GROUPS.flatMap((group) => signalsOf(group).map((signal) => ({ group, signal })))
const label = ({ group, signal }: Row) => `${group.acronym} ${group.pgn} SPN ${signal.spn} ${signal.name}`

/** Rows that break a rule, in words. An empty list is what each test asks for. */
function offenders(breaks: (row: Row) => boolean): string[] {
  return rows.filter(breaks).map(label)
}

/** Bits a signal takes, or none where its length is in the payload. */
function widthOf(signal: SignalDefinition): number | undefined {
  if (signal.kind === 'text' || signal.kind === 'bytes') {
    return typeof signal.bytes === 'number' ? signal.bytes * 8 : undefined
  }
  return signal.bits
}

/** Values that occur more than once. */
function repeated<T>(values: readonly T[]): T[] {
  return [...new Set(values.filter((value, index) => values.indexOf(value) !== index))]
}

describe('groups', () => {
  test('there are some, and every file of groups is in the list', async () => {
    expect(GROUPS.length).toBeGreaterThan(280)
    const listed = new Set(GROUPS)
    const missing: string[] = []
    const files = readdirSync(new URL('./groups/', import.meta.url)).filter((name) => /^[\w-]+\.ts$/.test(name))
    for (const file of files.filter((name) => !name.endsWith('.test.ts'))) {
      const exported: unknown[] = Object.values(await import(`./groups/${file.replace('.ts', '')}.ts`))
      const groups = exported.flat() as GroupDefinition[]
      expect(groups.length, file).toBeGreaterThan(0)
      missing.push(...groups.filter((group) => !listed.has(group)).map((group) => `${file} ${group.acronym}`))
    }
    expect(missing).toEqual([])
  })

  test('PGNs and acronyms are unique', () => {
    expect(repeated(GROUPS.map((group) => group.pgn))).toEqual([])
    expect(repeated(GROUPS.map((group) => group.acronym))).toEqual([])
  })

  test.each(GROUPS.map((group) => [group.acronym, group] as const))('%s', (_, group) => {
    expect(group.pgn).toBeGreaterThanOrEqual(0)
    expect(group.pgn).toBeLessThanOrEqual(0x3ffff)
    // Addressed groups (PDU format below 240) have no low byte: it is the destination.
    if (((group.pgn >> 8) & 0xff) < 240) expect(group.pgn & 0xff).toBe(0)
    expect(group.acronym).toMatch(/^[A-Z][A-Za-z0-9/]*$/)
    expect(group.name).toMatch(/^[A-Z]/)
    if (group.length !== 'variable') {
      expect(Number.isInteger(group.length)).toBe(true)
      expect(group.length).toBeGreaterThan(0)
      expect(group.length).toBeLessThanOrEqual(1785)
    }
    if (group.priority !== undefined) expect([0, 1, 2, 3, 4, 5, 6, 7]).toContain(group.priority)
    if (typeof group.period === 'number') expect(group.period).toBeGreaterThanOrEqual(10)
    // Only an identifier with room for a destination has a default one.
    expect(group.destination !== undefined).toBe(isDirectedGroup(group.pgn))
    expect(repeated(signalsOf(group).map((signal) => signal.spn))).toEqual([])
  })
})

describe('positions', () => {
  test('are well formed: byte, or byte.bit with a bit from 2 to 8', () => {
    expect(offenders(({ signal }) => !/^[1-9]\d*(\.[2-8])?$/.test(signal.at))).toEqual([])
  })

  test('lie inside the group', () => {
    const outside: string[] = []
    for (const group of GROUPS) {
      const check = (signals: readonly SignalDefinition[], bytes: number | 'variable') => {
        for (const signal of signals) {
          const end = startBit(signal.at) + (widthOf(signal) ?? 8)
          if (bytes !== 'variable' && end > bytes * 8) outside.push(label({ group, signal }))
        }
      }
      check(group.signals, group.length)
      if (group.repeat) check(group.repeat.signals, group.repeat.bytes)
    }
    expect(outside).toEqual([])
  })

  test('do not overlap', () => {
    const overlaps: string[] = []
    for (const group of GROUPS) {
      for (const signals of [group.signals, group.repeat?.signals ?? []]) {
        const taken = new Map<number, SignalDefinition>()
        for (const signal of signals) {
          const start = startBit(signal.at)
          // Delimited fields share a start; their numbers are compared below.
          for (let bit = start; bit < start + (widthOf(signal) ?? 0); bit++) {
            const other = taken.get(bit)
            if (other) overlaps.push(`${group.acronym}: ${other.name} and ${signal.name}`)
            taken.set(bit, signal)
          }
        }
      }
    }
    expect([...new Set(overlaps)]).toEqual([])
  })

  test('rows stand in the order of the bytes', () => {
    for (const group of GROUPS) {
      for (const signals of [group.signals, group.repeat?.signals ?? []]) {
        const starts = signals.map((signal) => startBit(signal.at))
        expect(starts, group.acronym).toEqual(starts.toSorted((a, b) => a - b))
      }
    }
  })

  test('delimited fields of a group are numbered without a repeat', () => {
    for (const group of GROUPS) {
      const fields = group.signals.flatMap((signal) =>
        signal.kind === 'text' && signal.bytes === 'delimited' ? [`${signal.at} ${signal.field ?? 0}`] : [],
      )
      expect(repeated(fields), group.acronym).toEqual([])
    }
  })

  test('a repeated part starts after the signals before it', () => {
    for (const group of GROUPS) {
      if (!group.repeat) continue
      const ends = group.signals.map((signal) => startBit(signal.at) + (widthOf(signal) ?? 8))
      expect(Math.max(0, ...ends), group.acronym).toBeLessThanOrEqual((group.repeat.at - 1) * 8)
    }
  })
})

describe('scales and labels', () => {
  test('numbers have a width, a resolution and an offset', () => {
    expect(
      offenders(
        ({ signal }) =>
          signal.kind === 'numeric' &&
          !(
            Number.isInteger(signal.bits) &&
            signal.bits >= 1 &&
            signal.bits <= 64 &&
            signal.resolution > 0 &&
            Number.isFinite(signal.resolution) &&
            Number.isFinite(signal.offset)
          ),
      ),
    ).toEqual([])
  })

  test('units are from the list, each there once', () => {
    expect(repeated<string>(UNITS)).toEqual([])
    expect(
      offenders(({ signal }) => signal.kind === 'numeric' && !(UNITS as readonly string[]).includes(signal.unit)),
    ).toEqual([])
  })

  test('codes are 1 to 32 bits wide', () => {
    expect(offenders(({ signal }) => signal.kind === 'state' && !(signal.bits >= 1 && signal.bits <= 32))).toEqual([])
  })

  test('every labelled code fits its width and is a value, not an error or "not available"', () => {
    expect(
      offenders(
        ({ signal }) =>
          signal.kind === 'state' &&
          Object.keys(signal.states)
            .map(Number)
            .some(
              (code) => code >= 2 ** signal.bits || statusOf(code, signal.bits, signal.range ?? 'standard') !== VALID,
            ),
      ),
    ).toEqual([])
  })

  test('labels are lower case but for abbreviations, not empty, and not the same for two codes', () => {
    for (const row of rows) {
      if (row.signal.kind !== 'state') continue
      const labels = Object.values(row.signal.states)
      expect(repeated(labels), label(row)).toEqual([])
      for (const text of labels) expect(text, label(row)).toMatch(/^(?![A-Z][a-z])\S(.*\S)?$/)
    }
  })

  test('a bit field has a label for each bit', () => {
    expect(offenders(({ signal }) => signal.kind === 'bit-field' && signal.flags.length !== signal.bits)).toEqual([])
  })

  test('a range rule with a number stays below the highest code', () => {
    expect(
      offenders(({ signal }) => {
        if (signal.kind !== 'numeric' && signal.kind !== 'state') return false
        return typeof signal.range === 'number' && !(signal.range >= 0 && signal.range < 2 ** signal.bits - 1)
      }),
    ).toEqual([])
  })

  test('a code without labels is an address, a place, a counter, or says why in its note', () => {
    const isNumber = /address|location|counter|checksum|component identification/i
    expect(
      offenders(
        ({ signal }) =>
          signal.kind === 'state' &&
          Object.keys(signal.states).length === 0 &&
          signal.note === undefined &&
          !isNumber.test(signal.name),
      ),
    ).toEqual([])
  })

  test('one SPN has one width, scale, unit and set of labels wherever it is sent', () => {
    const meanings = new Map<number, object>()
    for (const row of rows) {
      const { at: _at, sources: _sources, confirmed: _confirmed, note: _note, ...meaning } = row.signal
      expect(meaning, label(row)).toEqual(meanings.get(row.signal.spn) ?? meaning)
      meanings.set(row.signal.spn, meaning)
    }
  })
})

describe('names', () => {
  test('an SPN has one name, and a name one SPN', () => {
    const nameOf = new Map<number, string>()
    const spnOf = new Map<string, number>()
    const clashes: string[] = []
    for (const { signal } of rows) {
      if ((nameOf.get(signal.spn) ?? signal.name) !== signal.name) clashes.push(`${signal.spn}: ${signal.name}`)
      const key = signal.name.toLowerCase()
      if ((spnOf.get(key) ?? signal.spn) !== signal.spn) clashes.push(`${signal.name}: ${signal.spn}`)
      nameOf.set(signal.spn, signal.name)
      spnOf.set(key, signal.spn)
    }
    expect(clashes).toEqual([])
  })

  test('are in sentence case, without stray blanks or punctuation', () => {
    const inStyle = (name: string): boolean => {
      if (name !== name.trim() || / {2}| - |[.;:]$| \/ /.test(name)) return false
      const [first = '', ...rest] = name.split(/[\s/(),-]+/).filter((word) => word !== '')
      if (!/^[A-Z0-9]/.test(first)) return false
      return rest.every((word) => /^[a-z0-9]/.test(word) || /^[A-Z0-9]+s?$/.test(word) || CAPITALIZED.has(word))
    }
    expect(offenders(({ signal }) => !inStyle(signal.name))).toEqual([])
    expect(inStyle('Engine coolant temperature')).toBe(true)
    expect(inStyle('Engine Coolant temperature')).toBe(false)
  })
})

describe('provenance', () => {
  const isInOrder = (sources: readonly SourceId[]): boolean => {
    const ranks = sources.map((id) => (isPublication(id) ? 0 : ['recording', 'memory'].indexOf(id) + 1))
    return ranks.every((rank, index) => rank >= (ranks[index - 1] ?? 0))
  }
  const claims = [
    ...rows.map((row) => ({ name: label(row), sources: row.signal.sources })),
    ...GROUPS.map(({ acronym, sources }) => ({ name: acronym, sources })),
  ]

  test('every signal and every group names its sources, each once: publications, recordings, memory', () => {
    const wrong = claims.filter(
      ({ sources }) =>
        sources.length === 0 ||
        repeated(sources).length > 0 ||
        sources.some((id) => !(id in SOURCES) || id === 'own' || id === 'practice') ||
        !isInOrder(sources),
    )
    expect(wrong).toEqual([])
  })

  test('`confirmed` counts no more than the independent publications that give position and scale', () => {
    expect(
      offenders(({ signal: { kind, sources, confirmed } }) => {
        // A code has no scale: its place and width are enough.
        const without = kind === 'numeric' ? [...WITHOUT_POSITION, 'positions'] : WITHOUT_POSITION
        const most = publicationsAmong(sources.filter((id) => !without.includes(id)))
        return !(Number.isInteger(confirmed) && confirmed >= 0 && confirmed <= most)
      }),
    ).toEqual([])
  })

  test('what no publication confirms says that it is from memory', () => {
    expect(offenders(({ signal }) => signal.confirmed === 0 && !signal.sources.includes('memory'))).toEqual([])
    const unsaid = GROUPS.filter(({ sources }) => !sources.includes('memory') && publicationsAmong(sources) === 0)
    expect(unsaid.map(({ acronym }) => acronym)).toEqual([])
  })

  test('who describes a signal names its group', () => {
    expect(
      offenders(({ group, signal }) => signal.sources.some((id) => isPublication(id) && !group.sources.includes(id))),
    ).toEqual([])
  })

  test('a note is a phrase, without a stop', () => {
    const notes = [...GROUPS, ...rows.map(({ signal }) => signal)].flatMap(({ note }) => note ?? [])
    expect(notes.length).toBeGreaterThan(50)
    expect(notes.filter((note) => !/^\S.*[^\s.]$/.test(note))).toEqual([])
  })

  test('nothing holds an address', () => {
    expect(JSON.stringify([GROUPS, SOURCES])).not.toMatch(/https?:|www\./)
  })
})

describe('looking up', () => {
  test('a group by PGN', () => {
    expect(findGroup(61444)?.acronym).toBe('EEC1')
    expect(findGroup(61184)).toBeUndefined()
  })

  test('groups that other parts of the decoder read are known by name', () => {
    expect(findGroup(65227)).toMatchObject({ acronym: 'DM2', signals: [] })
    expect(findGroup(59904)).toMatchObject({ acronym: 'RQST', signals: [] })
    expect(findGroup(60928)).toMatchObject({ acronym: 'AC', signals: [] })
    expect(findGroup(59392)).toMatchObject({ acronym: 'ACKM', signals: [] })
    expect(findGroup(60416)).toMatchObject({ acronym: 'TPCM', signals: [] })
  })

  test('a signal by SPN, in every group that carries it', () => {
    expect(findSignals(190).map(({ group, signal }) => [group.acronym, signal.at])).toEqual([['EEC1', '4']])
    expect(findSignals(524287)).toEqual([])
    for (const { signal } of rows) expect(findSignals(signal.spn).length).toBeGreaterThan(0)
  })

  test('signals of a repeated part are found too', () => {
    for (const group of GROUPS) {
      for (const signal of group.repeat?.signals ?? []) {
        expect(findSignals(signal.spn)).toContainEqual({ group, signal })
      }
    }
  })
})

describe('the vitals', () => {
  // What the rest of the project counts on; positions as SAE J1939-71 gives them (course table, else from memory).
  test.each([
    [190, 61444, '4', 8031.875],
    [513, 61444, '3', 125],
    [91, 61443, '2', 100],
    [92, 61443, '3', 250],
    [100, 65263, '4', 1000],
    [110, 65262, '1', 210],
    [175, 65262, '3', 1734.96875],
    [157, 65243, '3', 250.99609375],
    [102, 65270, '2', 500],
    [105, 65270, '3', 210],
    [168, 65271, '5', 3212.75],
    [108, 65269, '1', 125],
    [171, 65269, '4', 1734.96875],
    [132, 61450, '3', 3212.75],
    [183, 65266, '1', 3212.75],
    [84, 65265, '2', 250.99609375],
    [247, 65253, '1', 210554060.75],
    [96, 65276, '2', 100],
  ])('SPN %i in PGN %i at %s, up to %d', (spn, pgn, at, max) => {
    const signal = findGroup(pgn)?.signals.find((candidate) => candidate.spn === spn)
    expect(signal?.at).toBe(at)
    if (signal?.kind !== 'numeric') throw new Error('not a number')
    expect(highestValidRaw(signal.bits, signal.range) * signal.resolution + signal.offset).toBeCloseTo(max, 6)
  })

  test('the lamps of DM1', () => {
    const states = [987, 624, 623, 1213].map((spn) =>
      findSignals(spn).map(({ group, signal }) => [group.pgn, signal.at]),
    )
    expect(states).toEqual([[[65226, '1']], [[65226, '1.3']], [[65226, '1.5']], [[65226, '1.7']]])
  })

  test('wait to start lamp and water in fuel', () => {
    expect(findSignals(1081).map(({ group, signal }) => [group.pgn, signal.at])).toEqual([[65252, '4']])
    expect(findSignals(97).map(({ group, signal }) => [group.pgn, signal.at])).toEqual([[65279, '1']])
  })

  test('torque mode 14 is a mode, 15 is not available', () => {
    const mode = findSignals(899)[0]?.signal
    if (mode?.kind !== 'state') throw new Error('not a code')
    expect(mode.states[14]).toBe('other')
    expect(statusOf(14, mode.bits, mode.range)).toBe(VALID)
    expect(statusOf(15, mode.bits, mode.range)).not.toBe(VALID)
  })
})
