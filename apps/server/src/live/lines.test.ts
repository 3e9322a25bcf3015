import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { countLines, WholeLines } from './lines.js'

const bytes = (text: string): Uint8Array => new TextEncoder().encode(text)

/** What comes out of chunks; `null` is a source that breaks off. */
function passed(chunks: readonly (string | null)[]) {
  let text = ''
  const calls: string[] = []
  const lines = new WholeLines((taken) => {
    calls.push(Buffer.from(taken).toString())
    text += calls.at(-1)
  })
  for (const chunk of chunks) {
    if (chunk === null) lines.breakOff()
    else lines.push(bytes(chunk))
  }
  return { text, calls, torn: lines.torn }
}

describe('whole lines', () => {
  test.each([
    ['a line at a time', ['a\n', 'b\n'], 'a\nb\n', 0],
    ['several in one', ['a\nb\nc\n'], 'a\nb\nc\n', 0],
    ['a line in three', ['ab', 'cd', 'ef\n'], 'abcdef\n', 0],
    ['the end of one and the beginning of another', ['ab', 'c\nde', 'f\n'], 'abc\ndef\n', 0],
    ['an end that does not come', ['a\nb'], 'a\n', 0],
    ['a line broken off', ['a\nb', null, 'c\n'], 'a\nc\n', 1],
    ['broken off between lines', ['a\n', null, 'c\n'], 'a\nc\n', 0],
    ['empty lines', ['\n\n', '\n'], '\n\n\n', 0],
    ['a line without end', ['x'.repeat(9_000), 'y', 'z\nb\n'], 'b\n', 1],
    ['a line without end in many chunks', [...Array.from({ length: 20 }, () => 'x'.repeat(1_000)), '\nb\n'], 'b\n', 1],
    ['a line without end, broken off', ['x'.repeat(9_000), null, 'b\n'], 'b\n', 1],
  ])('%s', (_, chunks, text, torn) => {
    expect(passed(chunks)).toMatchObject({ text, torn })
  })

  test('are the same however they are cut', () => {
    fc.assert(
      fc.property(fc.array(fc.stringMatching(/^[a-z]{0,12}$/)), fc.array(fc.nat(9), { minLength: 1 }), (all, cuts) => {
        const text = all.map((one) => `${one}\n`).join('')
        const chunks: string[] = []
        for (let at = 0, turn = 0; at < text.length; turn++) {
          const size = (cuts[turn % cuts.length] as number) + 1
          chunks.push(text.slice(at, at + size))
          at += size
        }
        const { text: got, calls } = passed(chunks)
        expect(got).toBe(text)
        for (const call of calls) expect(call.endsWith('\n')).toBe(true)
      }),
    )
  })

  test.each([
    ['', 0],
    ['a', 0],
    ['a\n', 1],
    ['a\n\nb\n', 3],
  ])('%j are counted: %i', (text, count) => {
    expect(countLines(bytes(text))).toBe(count)
  })
})
