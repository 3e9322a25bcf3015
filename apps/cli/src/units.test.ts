import { decodeSignal, type SignalDefinition } from '@firstcrank/decoder'
import type { Unit } from '@firstcrank/decoder/catalog'
import { describe, expect, test } from 'vitest'
import { scaleText } from './definition-text.js'
import { readFrame } from './frame-input.js'
import { Seconds, toJson } from './json.js'
import { nearest } from './nearest.js'
import { timeBound } from './numbers.js'
import { count, cut, firstFew, listing, plural, table, wrap } from './text.js'
import { durationText, exactSeconds, momentText, secondsText } from './time.js'
import { numberText, valueText } from './value-form.js'

describe('times', () => {
  test.each<[number, string]>([
    [0, '0.000000'],
    [1, '0.000001'],
    [1_436_509_052_249_713, '1436509052.249713'],
    [1_700_000_000_000_000, '1700000000.000000'],
    [999_999, '0.999999'],
    [-1, '-0.000001'],
    [-1_500_000, '-1.500000'],
    [Number.MAX_SAFE_INTEGER, '9007199254.740991'],
  ])('%i microseconds are exactly %s s', (micros, text) => {
    expect(exactSeconds(micros)).toBe(text)
  })

  test.each<[number, string]>([
    [0, '0.000 s'],
    [59_999_000, '59.999 s'],
    [60_000_000, '1 min 00 s'],
    [2_975_885_573, '49 min 36 s'],
    [3_599_600_000, '1 h 00 min'],
    [7_384_000_000, '2 h 03 min'],
    [48 * 3_600_000_000, '2 d 00 h'],
  ])('%i microseconds last %s', (micros, text) => {
    expect(durationText(micros)).toBe(text)
  })

  test('a moment is in UTC, and in seconds where the log has no date', () => {
    expect(momentText(1_436_509_052_249_713)).toBe('2015-07-10 06:17:32.249 UTC')
    expect(momentText(16_459_062)).toBe('16.459 s')
    expect(secondsText(12_345_000)).toBe('12.345 s')
  })

  test.each<[string, string, number]>([
    ['12.5', 'first-frame', 12_500_000],
    ['0', 'first-frame', 0],
    ['99999999.9999999', 'first-frame', 99_999_999_999_999],
    ['100000000', 'epoch', 1e14],
    ['1436509052.249713', 'epoch', 1_436_509_052_249_713],
    ['2015-07-10T06:17:32.249713Z', 'epoch', 1_436_509_052_249_713],
    ['2015-07-10 06:17', 'epoch', 1_436_509_020_000_000],
  ])('%s is a time from the %s', (word, from, micros) => {
    expect(timeBound('from', word)).toEqual({ from, micros })
  })

  test.each(['', '-1', '1,5', '12:30', '2015-13-01 00:00', '1e3'])('%s is no time', (word) => {
    expect(() => timeBound('from', word)).toThrow(/--from/)
  })
})

describe('json', () => {
  test('is JSON, whatever it holds', () => {
    const value = { a: [1, 'two "2"', null, true], b: {}, c: [], d: undefined, long: 'x'.repeat(120) }
    expect(JSON.parse(toJson(value))).toEqual(JSON.parse(JSON.stringify(value)))
  })

  test('prints a time with six decimals', () => {
    expect(toJson({ t: new Seconds(1_500_000) })).toBe('{"t": 1.500000}')
  })
})

describe('text', () => {
  test('counts', () => {
    expect([0, 999, 1000, 51_781, 1_000_000].map(count)).toEqual(['0', '999', '1,000', '51,781', '1,000,000'])
    expect([plural(1, 'frame'), plural(0, 'frame'), plural(2, 'entry', 'entries')]).toEqual([
      '1 frame',
      '0 frames',
      '2 entries',
    ])
  })

  test('lists', () => {
    expect([listing([]), listing(['a']), listing(['a', 'b', 'c'])]).toEqual(['', 'a', 'a, b and c'])
    expect(firstFew(['a', 'b', 'c', 'd'], 2)).toBe('a, b and 2 more')
  })

  test('is wrapped between words, never between a number and its unit', () => {
    expect(wrap('one two three', '  ', 10)).toEqual(['  one two', '  three'])
    expect(wrap('waited 1.500 s', '', 12)).toEqual(['waited', '1.500 s'])
    expect(wrap('unbreakable', '', 4)).toEqual(['unbreakable'])
  })

  test('stands in columns', () => {
    expect(cut('abcdef', 4)).toBe('abc…')
    expect(
      table(
        [
          { title: 'n', align: 'right' },
          { title: 'name', most: 5 },
        ],
        [
          ['1', 'short'],
          ['12', 'longer'],
        ],
        '',
      ),
    ).toEqual([' n  name', ' 1  short', '12  long…'])
  })

  test('guesses what was meant, and not wildly', () => {
    expect(nearest('fautls', ['faults', 'decode'])).toBe('faults')
    expect(nearest('xyz', ['faults', 'decode'])).toBeUndefined()
    expect(nearest('ab', ['cd', 'sa'])).toBeUndefined()
  })
})

test.each<[number, number, number, string]>([
  [602.125, 0.125, 0, '602.125'],
  [85, 1, -40, '85'],
  [93.37890625, 1 / 256, 0, '93.379'],
  [25.03125, 0.03125, -273, '25.031'],
  [47.1234567, 1e-7, -210, '47.1234567'],
  [0.4, 0.4, 0, '0.4'],
])('%d with a resolution of %d is shown as a person reads it', (value, resolution, offset, text) => {
  expect(numberText(value, { resolution, offset })).toBe(text)
})

test.each<[Unit, string]>([
  ['km/h', '3 km/h'],
  ['count', '3'],
  ['gear', '3'],
  ['ratio', '3'],
  ['month', '3'],
])('in %s the number is shown as %s', (unit, text) => {
  const definition: SignalDefinition = {
    ...{ kind: 'numeric', spn: 1, name: 'Made up', at: '1', bits: 8, resolution: 1, offset: 0, unit },
    ...{ sources: ['memory'], confirmed: 0 },
  }
  expect(valueText(decodeSignal(definition, Uint8Array.of(3)))).toBe(text)
  expect(scaleText(definition)).toBe(text === '3' ? '1 a step' : '1 km/h a step')
})

test.each<[string, Record<number, string>, string]>([
  ['only a number, such as an address, is shown as one', {}, '3'],
  ['with meanings, but none for this one, is called a state', { 0: 'off' }, 'state 3'],
])('a code that is %s', (_name, states, text) => {
  const definition: SignalDefinition = {
    ...{ kind: 'state', spn: 1, name: 'Made up', at: '1', bits: 8, states, sources: ['memory'], confirmed: 0 },
  }
  expect(valueText(decodeSignal(definition, Uint8Array.of(3)))).toBe(text)
})

test('a frame of the most bytes a message can have is read, and one more is not', () => {
  expect(readFrame(['18FECA00', 'FF'.repeat(1785)]).data).toHaveLength(1785)
  expect(() => readFrame(['18FECA00', 'FF'.repeat(1786)])).toThrow('1786 data bytes are more than a message can hold')
})
