import { describe, expect, it } from 'vitest'
import { DEFAULT_MAX_PROBLEMS, PROBLEM_TEXT_CHARACTERS, PROBLEMS, ProblemList, READER_PROBLEMS } from './problem.js'

const encoder = new TextEncoder()

function add(list: ProblemList, code: Parameters<ProblemList['add']>[0], line: number, text = 'x'): void {
  const bytes = encoder.encode(`before${text}after`)
  list.add(code, line, bytes, 6, bytes.length - 5)
}

function textOf(text: string): string | undefined {
  const list = new ProblemList()
  add(list, 'bad-data', 1, text)
  return list.kept[0]?.text
}

describe('the list of problems', () => {
  it('names each once, with a meaning', () => {
    const codes = PROBLEMS.map(({ code }) => code)
    expect(new Set(codes).size).toBe(codes.length)
    expect(codes).toEqual(expect.arrayContaining(READER_PROBLEMS.map(({ code }) => code)))
    for (const { meaning } of PROBLEMS) expect(meaning).toMatch(/^[a-z0-9].{15,}[^.]$/)
  })

  it('has one problem whose line still gave a frame', () => {
    expect(PROBLEMS.filter(({ lost }) => !lost).map(({ code }) => code)).toEqual(['torn-line'])
  })
})

describe('ProblemList', () => {
  it('starts empty', () => {
    const list = new ProblemList()
    expect([list.total, list.kept, list.counts()]).toEqual([0, [], []])
  })

  it('counts all by code and keeps them in the order met', () => {
    const list = new ProblemList()
    add(list, 'odd-data', 3, '(1.5) can0 18FEEE00#1')
    add(list, 'torn-line', 8, 'b')
    add(list, 'odd-data', 9, 'c')
    expect(list.kept).toEqual([
      { code: 'odd-data', line: 3, text: '(1.5) can0 18FEEE00#1' },
      { code: 'torn-line', line: 8, text: 'b' },
      { code: 'odd-data', line: 9, text: 'c' },
    ])
    expect(list.total).toBe(3)
    expect(list.counts()).toEqual([
      { code: 'torn-line', count: 1, lost: false },
      { code: 'odd-data', count: 2, lost: true },
    ])
  })

  it('keeps the first ones, and the first of every code', () => {
    const list = new ProblemList()
    for (let line = 1; line <= DEFAULT_MAX_PROBLEMS + 50; line++) add(list, 'bad-data', line)
    add(list, 'bad-time', 500)
    add(list, 'bad-time', 501)
    expect(list.kept.length).toBe(101)
    expect(list.kept.at(-2)?.line).toBe(100)
    expect(list.kept.at(-1)).toEqual({ code: 'bad-time', line: 500, text: 'x' })
    expect(list.total).toBe(152)
  })

  it('takes another limit', () => {
    const list = new ProblemList(2)
    for (let line = 1; line <= 5; line++) add(list, 'bad-data', line)
    expect(list.kept.map(({ line }) => line)).toEqual([1, 2])
  })
})

describe('the text of a problem', () => {
  it.each([
    ['cut at 120 characters', 'ab'.repeat(100), 'ab'.repeat(60)],
    ['whole at 120 characters', 'ab'.repeat(60), 'ab'.repeat(60)],
    ['characters, not bytes', '€'.repeat(130), '€'.repeat(120)],
    ['characters, not UTF-16 units', '😀'.repeat(130), '😀'.repeat(120)],
    ['without carriage return', 'a\r', 'a'],
    ['leading blanks kept, tabs as blanks', '  a\tb', '  a b'],
    ['nothing that a terminal obeys', 'a\u001b[31m\u0000\u009b\u202eb', 'a\ufffd[31m\ufffd\ufffd\ufffdb'],
  ])('%s', (_, text, expected) => expect(textOf(text)).toBe(expected))

  it('is not broken by bytes that are no UTF-8', () => {
    const list = new ProblemList()
    list.add('bad-data', 1, Uint8Array.from([0x61, 0xff, 0xc3, 0x62]), 0, 4)
    expect(list.kept[0]?.text).toBe('a\ufffd\ufffdb')
  })

  it('is as long as it says', () => expect(textOf('x'.repeat(1000))?.length).toBe(PROBLEM_TEXT_CHARACTERS))
})
