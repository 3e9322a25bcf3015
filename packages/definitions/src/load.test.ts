import { readFileSync } from 'node:fs'
import { decodeGroup } from '@firstcrank/decoder'
import { describe, expect, test } from 'vitest'
import { DefinitionsError, parseDefinitions } from './load.js'
import { definitionsJsonSchema } from './schema.js'

const signal = {
  kind: 'numeric',
  spn: 520_192,
  name: 'Air box pressure',
  at: '2',
  bits: 16,
  resolution: 0.1,
  unit: 'kPa',
}
const state = { kind: 'state', spn: 520_193, name: 'Flap', at: '1.3', bits: 2, states: { 0: 'shut', 1: 'open' } }
const file = (groups: unknown) => JSON.stringify({ version: 1, source: 'wiring notes of the truck', groups })
const group = (more: object = {}) => ({ pgn: 65_313, acronym: 'ABOX', name: 'Air box', signals: [signal], ...more })

function problemsOf(text: string): readonly string[] {
  try {
    parseDefinitions(text)
  } catch (error) {
    if (error instanceof DefinitionsError) return error.problems
    throw error
  }
  return []
}

describe('a definition file', () => {
  test('decodes a proprietary group', () => {
    const [definition] = parseDefinitions(
      file([
        group({
          signals: [
            signal,
            state,
            { kind: 'bit-field', spn: 520_194, name: 'Switches', at: '4', flags: ['door', 'light', 'siren'] },
            { kind: 'text', spn: 520_195, name: 'Box', at: '5', bytes: 3 },
          ],
        }),
      ]),
    )
    const values = decodeGroup(definition, Uint8Array.from([0b0100, 0xf3, 0x03, 0b101, 0x41, 0x42, 0x43, 0xff]))
    expect(values.map(({ spn, value, label, text, unit }) => ({ spn, value, label, text, unit }))).toEqual([
      { spn: 520_192, value: 101.1, unit: 'kPa', label: undefined, text: undefined },
      { spn: 520_193, value: 1, unit: null, label: 'open', text: undefined },
      { spn: 520_194, value: 5, unit: null, label: 'door, siren', text: undefined },
      { spn: 520_195, value: null, unit: null, label: undefined, text: 'ABC' },
    ])
  })

  test('carries who says so into the note of everything in it', () => {
    const block = { at: 3, bytes: 2, signals: [{ ...signal, spn: 520_196, at: '1' }] }
    const [definition] = parseDefinitions(
      file([
        group({
          length: 'variable',
          signals: [{ ...signal, bits: 8, at: '1', note: 'reads 2 kPa low' }],
          repeat: block,
        }),
      ]),
    )
    expect(definition.note).toBe('From: wiring notes of the truck')
    expect(definition.signals[0].note).toBe('reads 2 kPa low. From: wiring notes of the truck')
    expect(definition.repeat?.signals[0].note).toBe('From: wiring notes of the truck')
  })

  test.each([
    ['not JSON', '{"version": 1,', /^not JSON: /],
    ['not JSON, on one line', '// notes\n{}', /^not JSON: .*$/],
    ['a missing field', file([group({ name: undefined })]), /^groups\[0\]\.name: is missing$/],
    ['a missing field of a signal', file([group({ signals: [{ ...signal, spn: undefined }] })]), /\.spn: is missing$/],
    ['a file that is something else', '[]', /^file: must be an object/],
    [
      'a group number in hexadecimal',
      file([group({ pgn: '0xFF21' })]),
      /^groups\[0\]\.pgn: must be a number: write 65313$/,
    ],
    ['a misspelt field', file([group({ lenght: 8 })]), /^groups\[0\]: .*lenght/],
    ['a wrong width', file([group({ signals: [{ ...signal, bits: 65 }] })]), /^groups\[0\]\.signals\[0\]\.bits: /],
    [
      'a wrong place',
      file([group({ signals: [{ ...signal, at: '0.9' }] })]),
      /^groups\[0\]\.signals\[0\]\.at: must be a byte/,
    ],
    ['an unknown unit', file([group({ signals: [{ ...signal, unit: 'furlong' }] })]), /unit: must be one of %/],
    [
      'a resolution of nothing',
      file([group({ signals: [{ ...signal, resolution: 0 }] })]),
      /resolution: must not be 0/,
    ],
    [
      'a signal past the end',
      file([group({ signals: [{ ...signal, at: '8' }] })]),
      /^groups\[0\]\.signals\[0\]: ends at byte 9/,
    ],
    [
      'a range that is no range',
      file([group({ signals: [{ ...signal, range: 'all' }] })]),
      /^groups\[0\]\.signals\[0\]\.range: must be "standard", "full" or a whole number/,
    ],
    [
      'a range the width cannot hold',
      file([group({ signals: [{ ...signal, range: 65_536 }] })]),
      /^groups\[0\]\.signals\[0\]\.range: 16 bits hold no more than 65535$/,
    ],
    ['a length that is none', file([group({ length: 'any' })]), /^groups\[0\]\.length: must be "variable" or a number/],
    [
      'a state the width cannot hold',
      file([group({ signals: [{ ...state, states: { 0: 'shut', 4: 'gone' } }] })]),
      /^groups\[0\]\.signals\[0\]\.states\.4: 2 bits hold no more than 3$/,
    ],
    [
      'a state that is no number',
      file([group({ signals: [{ ...state, states: { open: 'open' } }] })]),
      /^groups\[0\]\.signals\[0\]\.states\.open: must be a raw value in decimal digits$/,
    ],
    [
      'an SPN twice in a group',
      file([group({ repeat: { at: 5, bytes: 2, signals: [{ ...signal, at: '1' }] } })]),
      /^groups\[0\]\.repeat\.signals\[0\]\.spn: 520192 is in this group twice$/,
    ],
    [
      'a name of two lines',
      file([group({ signals: [{ ...signal, name: 'Air\nbox' }] })]),
      /^groups\[0\]\.signals\[0\]\.name: must be on one line, without control characters$/,
    ],
    ['a group twice', file([group(), group()]), /^groups\[1\]\.pgn: 65313 is defined twice/],
    ['a destination in a PGN', file([group({ pgn: 61_189 })]), /^groups\[0\]\.pgn: .* the group is 61184/],
    ['another version', JSON.stringify({ version: 2, source: 'x', groups: [group()] }), /^version: /],
  ])('says where %s is', (_, text, expected) => {
    const problems = problemsOf(text)
    expect(problems.length).toBeGreaterThan(0)
    expect(problems[0]).toMatch(expected)
  })

  const numeric = (more: object) => file([group({ signals: [{ ...signal, ...more }] })])
  const here = 'groups[0].signals[0]'

  test.each<[string, string, string]>([
    ['a list for the file', '[]', 'file: must be an object, not a list'],
    ['nothing for the file', 'null', 'file: must be an object, not null'],
    ['a text for a number', numeric({ resolution: '0.1' }), `${here}.resolution: must be a number, not a text`],
    ['a number for a text', numeric({ at: 2 }), `${here}.at: must be a text, not a number`],
    ['half a bit', numeric({ bits: 1.5 }), `${here}.bits: must be a whole number`],
    ['too many bits', numeric({ bits: 65 }), `${here}.bits: must be at most 64`],
    ['no bit', numeric({ bits: 0 }), `${here}.bits: must be at least 1`],
    ['an empty name', numeric({ name: '' }), `${here}.name: must not be empty`],
    ['a long name', numeric({ name: 'x'.repeat(121) }), `${here}.name: must have at most 120 characters`],
    ['no group', file([]), 'groups: must not be empty'],
    ['an object for a list', file([group({ signals: signal })]), 'groups[0].signals: must be a list, not an object'],
    [
      'a kind there is not',
      numeric({ kind: 'number' }),
      `${here}.kind: must be one of numeric, state, bit-field, text, bytes`,
    ],
    ['no kind', numeric({ kind: undefined }), `${here}.kind: is missing`],
    ['another version', JSON.stringify({ version: 2, source: 'x', groups: [group()] }), 'version: must be 1'],
    ['a misspelt field', file([group({ lenght: 8 })]), 'groups[0]: has no field lenght'],
    ['two of them', file([group({ lenght: 8, nmae: '' })]), 'groups[0]: has no field lenght, nor nmae'],
    [
      'a list for states',
      file([group({ signals: [{ ...state, states: ['shut', 'open'] }] })]),
      `${here}.states: must be an object, not a list`,
    ],
  ])('says in plain words what is wrong: %s', (_, text, expected) => {
    expect(problemsOf(text)).toEqual([expected])
  })

  test('may begin with a byte-order mark, as some editors write one', () => {
    expect(parseDefinitions(`\ufeff${file([group()])}`)[0].pgn).toBe(65_313)
  })

  test('may use every raw value the width has', () => {
    const full = { ...signal, range: 65_535 }
    const states = { ...state, states: { 0: 'shut', 3: 'gone' } }
    expect(parseDefinitions(file([group({ signals: [full, states] })]))[0].signals).toHaveLength(2)
  })

  test('has its published schema up to date', () => {
    const published = readFileSync(new URL('../definitions.schema.json', import.meta.url), 'utf8')
    expect(JSON.parse(published)).toEqual(JSON.parse(JSON.stringify(definitionsJsonSchema())))
  })
})
