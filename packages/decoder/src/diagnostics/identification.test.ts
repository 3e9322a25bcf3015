/** Texts are invented. */
import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { decodeIdentification, IDENTIFICATION_PGNS } from './identification.js'

const COMPONENT = 65259
const SOFTWARE = 65242
const ECU = 64965
const VEHICLE = 65260

/** Latin-1, one byte a character. */
const latin1 = (text: string) => Uint8Array.from(text, (character) => character.charCodeAt(0))
const fields = (pgn: number, text: string) => decodeIdentification(pgn, latin1(text))?.fields ?? []
const texts = (pgn: number, text: string) => fields(pgn, text).map((field) => [field.status, field.text])
const problems = (pgn: number, text: string) => decodeIdentification(pgn, latin1(text))?.problems

describe('component identification', () => {
  it('has make, model, serial number and unit number', () => {
    expect(decodeIdentification(COMPONENT, latin1('SUMMIT*D30-4*0004711*R7*'))).toEqual({
      kind: 'component',
      pgn: COMPONENT,
      fields: [
        { spn: 586, name: 'Component make', status: 'valid', text: 'SUMMIT' },
        { spn: 587, name: 'Component model', status: 'valid', text: 'D30-4' },
        { spn: 588, name: 'Component serial number', status: 'valid', text: '0004711' },
        { spn: 233, name: 'Unit number', status: 'valid', text: 'R7' },
      ],
      problems: [],
    })
  })

  it('tells empty, not available, error and not sent apart', () => {
    expect(texts(COMPONENT, '*\xff\xff*\0\0*')).toEqual([
      ['valid', ''],
      ['not-available', ''],
      ['error', ''],
      ['not-sent', ''],
    ])
  })

  it('takes blanks, NUL and FF off the ends, and nothing from inside', () => {
    expect(texts(COMPONENT, ' SUM MIT  *\0D30\0*007\xff\xff*R\xb57 *')).toEqual([
      ['valid', 'SUM MIT'],
      ['valid', 'D30'],
      ['valid', '007'],
      ['valid', 'R\xb57'],
    ])
  })

  it.each([
    ['no last delimiter', 'SUMMIT*D30-4*0004711*R7'],
    ['filler after it', 'SUMMIT*D30-4*0004711*R7*\xff\xff\xff'],
    ['filler in its place', 'SUMMIT*D30-4*0004711*R7\xff\xff'],
    ['NUL after it', 'SUMMIT*D30-4*0004711*R7*\0\0'],
  ])('ends with %s', (_, text) => {
    expect(texts(COMPONENT, text).map(([, value]) => value)).toEqual(['SUMMIT', 'D30-4', '0004711', 'R7'])
    expect(problems(COMPONENT, text)).toEqual([])
  })

  it('reads a single frame', () => {
    expect(texts(COMPONENT, 'SUMMI*\xff\xff').slice(0, 3)).toEqual([
      ['valid', 'SUMMI'],
      ['not-available', ''],
      ['not-sent', ''],
    ])
    expect(texts(COMPONENT, '\xff\xff\xff\xff\xff\xff\xff\xff')[0]).toEqual(['not-available', ''])
  })

  it('keeps fields beyond the known ones by number', () => {
    expect(fields(COMPONENT, 'A*B*C*D*E*').at(-1)).toEqual({ spn: null, name: 'Field 5', status: 'valid', text: 'E' })
  })
})

describe('software identification', () => {
  it('has as many fields as its first byte says', () => {
    expect(fields(SOFTWARE, '\x02APP 1.4*BOOT 0.9*').map(({ spn, text }) => [spn, text])).toEqual([
      [234, 'APP 1.4'],
      [234, 'BOOT 0.9'],
    ])
    expect(problems(SOFTWARE, '\x02APP 1.4*BOOT 0.9*')).toEqual([])
    expect(problems(SOFTWARE, '\x02APP 1.4*BOOT 0.9')).toEqual([])
    expect(problems(SOFTWARE, '\x02APP 1.4*\xff')).toEqual([])
  })

  it('keeps what is there where the number is another', () => {
    expect(texts(SOFTWARE, '\x03APP*BOOT*')).toEqual([
      ['valid', 'APP'],
      ['valid', 'BOOT'],
    ])
    expect(problems(SOFTWARE, '\x03APP*BOOT*')).toEqual([{ code: 'field-count', at: 0 }])
    expect(problems(SOFTWARE, '\x01APP*BOOT*')).toEqual([{ code: 'field-count', at: 0 }])
  })

  it('does without the number where it is not available', () => {
    expect(texts(SOFTWARE, '\xffAPP*BOOT*')).toHaveLength(2)
    expect(problems(SOFTWARE, '\xffAPP*BOOT*')).toEqual([])
  })
})

it('has the ECU identification', () => {
  expect(fields(ECU, 'P-1*S-2*FRAME*ENGINE*ALPWERK*').map(({ spn, text }) => [spn, text])).toEqual([
    [2901, 'P-1'],
    [2902, 'S-2'],
    [2903, 'FRAME'],
    [2904, 'ENGINE'],
    [4304, 'ALPWERK'],
  ])
})

it('has the vehicle identification', () => {
  expect(fields(VEHICLE, 'ZZZRESCUE00000017*\xff\xff')).toEqual([
    { spn: 237, name: 'Vehicle identification number', status: 'valid', text: 'ZZZRESCUE00000017' },
  ])
})

it('reports an empty payload', () => {
  for (const pgn of [COMPONENT, SOFTWARE, ECU, VEHICLE]) {
    const identification = decodeIdentification(pgn, new Uint8Array())
    expect(identification?.problems).toEqual([{ code: 'short-payload', at: 0 }])
    expect(identification?.fields.every(({ status }) => status === 'not-sent')).toBe(true)
  }
})

it('keeps no more fields than can be announced', () => {
  expect(fields(COMPONENT, 'x*'.repeat(250))).toHaveLength(250)
  expect(problems(COMPONENT, 'x*'.repeat(250))).toEqual([])
  expect(fields(COMPONENT, 'x*'.repeat(5000))).toHaveLength(250)
  expect(problems(COMPONENT, 'x*'.repeat(5000))).toEqual([{ code: 'field-count', at: 0 }])
})

it('leaves other groups alone', () => {
  expect(decodeIdentification(61444, latin1('A*'))).toBeUndefined()
  expect(IDENTIFICATION_PGNS).toEqual(new Set([COMPONENT, SOFTWARE, ECU, VEHICLE]))
})

it('never throws, and gives back what was put between delimiters', () => {
  const word = fc.stringMatching(/^[!-)+-~]{1,12}$/)
  fc.assert(
    fc.property(fc.array(word, { maxLength: 8 }), fc.boolean(), (words, ended) => {
      const text = words.join('*') + (ended && words.length > 0 ? '*' : '')
      expect(fields(COMPONENT, text).flatMap((field) => (field.text === '' ? [] : [field.text]))).toEqual(words)
    }),
  )
  fc.assert(
    fc.property(fc.constantFrom(...IDENTIFICATION_PGNS), fc.uint8Array({ maxLength: 80 }), (pgn, payload) => {
      expect(decodeIdentification(pgn, payload)?.fields.length).toBeGreaterThan(0)
    }),
  )
})
