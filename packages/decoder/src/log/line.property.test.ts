import fc from 'fast-check'
import { describe, expect, it } from 'vitest'
import { createParsedLine, LINE_PROBLEMS, type ParsedLine, parseLine } from './line.js'

const encoder = new TextEncoder()
const CODES: readonly string[] = LINE_PROBLEMS.map(({ code }) => code)

function parse(bytes: Uint8Array): ParsedLine {
  const line = createParsedLine()
  parseLine(bytes, 0, bytes.length, line)
  return line
}

const channelOf = (line: ParsedLine, text: string) => text.slice(line.channelStart, line.channelEnd)
const dataOf = (line: ParsedLine) => Array.from(line.data.subarray(0, line.length))

/** What holds for every line, whatever its bytes. */
function expectSound(line: ParsedLine, bytes: Uint8Array): void {
  const isFrame = !['blank', 'comment', 'malformed'].includes(line.kind)
  const mostBytes = line.kind === 'fd' ? 64 : 8
  expect(Number.isSafeInteger(line.time)).toBe(true)
  expect(line.length >= 0 && line.length <= mostBytes).toBe(true)
  expect(line.id >= 0 && line.id <= (line.kind === 'standard' ? 0x7ff : 0x1fffffff)).toBe(true)
  expect(line.data.subarray(line.kind === 'remote' ? 0 : line.length).every((byte) => byte === 0xff)).toBe(true)
  expect(line.channelEnd > line.channelStart).toBe(isFrame)
  expect(line.channelEnd <= bytes.length).toBe(true)
  if (line.kind === 'malformed') expect(CODES.filter((code) => code !== 'torn-line')).toContain(line.problem)
  else expect(line.problem).toBe(line.recoveredFrom < 0 ? undefined : 'torn-line')
}

interface Frame {
  micros: number
  channel: string
  id: number
  data: number[]
}

const anyFrame: fc.Arbitrary<Frame> = fc.record({
  micros: fc.integer({ min: 0, max: 4e15 }),
  channel: fc.constantFrom('can0', 'can1', 'vcan12', 'slcan0', 'bus'),
  id: fc.integer({ min: 0, max: 0x1fffffff }),
  data: fc.array(fc.integer({ min: 0, max: 255 }), { maxLength: 8 }),
})

const hex = (value: number, digits: number) => value.toString(16).toUpperCase().padStart(digits, '0')
const printTime = (micros: number) => {
  const digits = String(micros).padStart(7, '0')
  return `(${digits.slice(0, -6)}.${digits.slice(-6)})`
}
const fileForm = ({ micros, channel, id, data }: Frame) =>
  `${printTime(micros)} ${channel} ${hex(id, 8)}#${data.map((byte) => hex(byte, 2)).join('')}`
const consoleForm = ({ micros, channel, id, data }: Frame) =>
  ` ${printTime(micros)}  ${channel}  ${hex(id, 8)}   [${data.length}] ${data.map((byte) => ` ${hex(byte, 2)}`).join('')}`
const datedForm = ({ micros, channel, id, data }: Frame) => {
  const date = new Date(Math.floor(micros / 1e6) * 1000).toISOString().slice(0, 19).replace('T', ' ')
  const bytes = data.map((byte) => ` ${hex(byte, 2)}`).join('')
  return ` (${date}.${String(micros % 1e6).padStart(6, '0')})  ${channel}  RX - -  ${hex(id, 8)}   [${data.length}] ${bytes}`
}
const FORMS = { file: fileForm, console: consoleForm, dated: datedForm }

function expectFrame(line: ParsedLine, text: string, frame: Frame): void {
  expect(line.kind).toBe('frame')
  expect(line.time).toBe(frame.micros)
  expect(channelOf(line, text)).toBe(frame.channel)
  expect(line.id).toBe(frame.id)
  expect(dataOf(line)).toEqual(frame.data)
}

const anyLine = fc
  .tuple(anyFrame, fc.constantFrom(...Object.values(FORMS)))
  .map(([frame, print]) => encoder.encode(print(frame)))

describe('any frame', () => {
  it.each(Object.entries(FORMS))('is read from the %s form', (_, print) => {
    fc.assert(
      fc.property(anyFrame, fc.boolean(), (frame, lower) => {
        const text = lower ? print(frame).toLowerCase().replace('rx', 'RX') : print(frame)
        expectFrame(parse(encoder.encode(text)), text, frame)
      }),
    )
  })

  it('is read the same into a line used before and wherever it stands', () => {
    fc.assert(
      fc.property(anyLine, anyLine, fc.integer({ min: 0, max: 20 }), (before, bytes, offset) => {
        const used = createParsedLine()
        parseLine(before, 0, before.length, used)
        const moved = new Uint8Array(offset + bytes.length + 20).fill(0x31)
        moved.set(bytes, offset)
        parseLine(moved, offset, offset + bytes.length, used)
        const fresh = parse(bytes)
        expect({ ...used, channelStart: used.channelStart - offset, channelEnd: used.channelEnd - offset }).toEqual(
          fresh,
        )
      }),
    )
  })
})

describe('a damaged line', () => {
  it('gives its second half wherever the first breaks off', () => {
    fc.assert(
      fc.property(
        anyFrame,
        anyFrame,
        fc.constantFrom(...Object.values(FORMS)),
        fc.nat(),
        (first, second, print, cut) => {
          const whole = print(first).trimStart()
          const kept = whole.slice(0, 1 + (cut % whole.length))
          const text = kept + print(second).trimStart()
          const line = parse(encoder.encode(text))
          expectFrame(line, text, second)
          expect(line.problem).toBe('torn-line')
          expect(line.recoveredFrom).toBe(kept.length)
        },
      ),
    )
  })

  it('broken off at the end is malformed, or has lost whole bytes of the file form', () => {
    fc.assert(
      fc.property(anyFrame, fc.nat(), (frame, cut) => {
        const whole = fileForm(frame)
        const text = whole.slice(0, 1 + (cut % (whole.length - 1)))
        const line = parse(encoder.encode(text))
        const bytesLeft = (text.length - whole.indexOf('#') - 1) / 2
        if (bytesLeft < 0 || bytesLeft % 1 !== 0) expect(line.kind).toBe('malformed')
        else expectFrame(line, text, { ...frame, data: frame.data.slice(0, bytesLeft) })
      }),
    )
  })

  it('broken off in the console form is always malformed', () => {
    fc.assert(
      fc.property(anyFrame, fc.nat(), (frame, cut) => {
        const whole = consoleForm(frame).trim()
        expect(parse(encoder.encode(whole.slice(0, 1 + (cut % (whole.length - 1))))).kind).toBe('malformed')
      }),
    )
  })

  it('never throws and stays sound when bytes change, come or go', () => {
    const edit = fc.record({ at: fc.nat(), remove: fc.nat({ max: 3 }), insert: fc.uint8Array({ maxLength: 3 }) })
    fc.assert(
      fc.property(anyLine, fc.array(edit, { minLength: 1, maxLength: 4 }), (bytes, edits) => {
        let damaged = Array.from(bytes)
        for (const { at, remove, insert } of edits) {
          damaged = damaged.toSpliced(damaged.length === 0 ? 0 : at % damaged.length, remove, ...insert)
        }
        const line = Uint8Array.from(damaged)
        expectSound(parse(line), line)
      }),
      { numRuns: 1000 },
    )
  })
})

describe('random input', () => {
  it('never throws and stays sound for any bytes', () => {
    fc.assert(
      fc.property(fc.uint8Array({ maxLength: 200 }), (bytes) => expectSound(parse(bytes), bytes)),
      { numRuns: 1000 },
    )
  })

  it('never throws and stays sound for any order of what lines are made of', () => {
    const parts = [
      '(',
      ')',
      '1.5',
      ' ',
      '\t',
      'can0',
      '18FEEE00',
      '123',
      '#',
      '##',
      '11',
      'R',
      '[',
      '8',
      ']',
      'RX',
      '-',
      '_9',
    ]
    fc.assert(
      fc.property(fc.array(fc.constantFrom(...parts), { maxLength: 30 }), (texts) => {
        const bytes = encoder.encode(texts.join(''))
        expectSound(parse(bytes), bytes)
      }),
      { numRuns: 2000 },
    )
  })
})
