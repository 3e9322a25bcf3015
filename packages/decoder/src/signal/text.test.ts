import { describe, expect, it } from 'vitest'
import { delimitedText, fixedText } from './text.js'

const latin1 = (text: string): Uint8Array => Uint8Array.from(text, (character) => character.charCodeAt(0))
const valid = (text: string) => ({ status: 'valid', text })
const none = (status: string) => ({ status, text: '' })

describe('a text of fixed length', () => {
  it.each([
    ['A1B2', 0, 4, valid('A1B2')],
    ['A1B2', 1, 2, valid('1B')],
    ['A1B2', 2, 9, valid('B2')],
    ['A1B2', 4, 1, none('not-sent')],
    ['', 0, 3, none('not-sent')],
    ['  N ', 0, 4, valid('N')],
    ['D\0\0\0', 0, 4, valid('D')],
    ['\xff\xffD\xff', 0, 4, valid('D')],
    ['a b\xffc', 0, 5, valid('a b\xffc')],
    ['\xff\xff', 0, 2, none('not-available')],
    ['\0\0', 0, 2, none('error')],
    ['\0\xff', 0, 2, valid('')],
    ['   ', 0, 3, valid('')],
    ['\xdcber', 0, 4, valid('Über')],
    ['a*b', 0, 3, valid('a*b')],
  ])('%j from %i, %i bytes', (payload, offset, bytes, wanted) => {
    expect(fixedText(latin1(payload), offset, bytes)).toEqual(wanted)
  })
})

describe('a text up to a delimiter', () => {
  it.each([
    ['one*two*', 0, 0, valid('one')],
    ['one*two*', 0, 1, valid('two')],
    ['one*two*', 0, 2, none('not-sent')],
    ['one*two', 0, 1, valid('two')],
    ['one**two*', 0, 1, valid('')],
    ['*', 0, 0, valid('')],
    ['one', 0, 0, valid('one')],
    ['one', 0, 1, none('not-sent')],
    ['', 0, 0, none('not-sent')],
    ['\x02one*two*', 1, 1, valid('two')],
    ['one*\xff\xff*', 0, 1, none('not-available')],
    ['one*\0*', 0, 1, none('error')],
    ['one*two*', 9, 0, none('not-sent')],
    ['one* two\xff*', 0, 1, valid('two')],
  ])('%j from %i, field %i', (payload, offset, field, wanted) => {
    expect(delimitedText(latin1(payload), offset, field)).toEqual(wanted)
  })
})
