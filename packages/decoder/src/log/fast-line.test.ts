import { beforeEach, describe, expect, it } from 'vitest'
import { utf8 } from '../../../../tests/support/log.js'
import { FAST_LINE_BYTES, FastLines } from './fast-line.js'
import { FrameBatch, FrameKeys } from './frame-batch.js'

const LINE = '(1626905042.645596) can1 0CF00400#507D8DD11200F48E'

let keys: FrameKeys
let batch: FrameBatch
let fast: FastLines
beforeEach(() => {
  keys = new FrameKeys()
  batch = new FrameBatch()
  fast = new FastLines(keys, batch)
  meet('can0')
  meet('can1')
})

/** Tells the fast path of an interface, as the reader does once the patient parser has met it. */
function meet(name: string, before = '(1) ', behind = ' '): void {
  const bytes = utf8(`${before}${name}${behind}`)
  fast.learnName(new DataView(bytes.buffer), before.length, before.length + name.length, keys.channelNumber(name))
}

/** Where the fast path says that the next line starts: -1 where it declines. Digits stand behind the text. */
function read(text: string): number {
  const bytes = new Uint8Array(text.length + FAST_LINE_BYTES).fill(0x31)
  bytes.set(utf8(text))
  const next = fast.read(new DataView(bytes.buffer), bytes, 0, 0)
  return next > 0 ? next : -1
}

function rows() {
  return Array.from({ length: batch.count }, (_, row) => ({
    channel: keys.channels[keys.channel[batch.key[row]]],
    id: keys.id[batch.key[row]],
    data: [...batch.bytes.subarray(row * 8, row * 8 + 8)],
    length: batch.length[row],
  }))
}

describe('a common line', () => {
  it('is read into the next row', () => {
    expect(read(`${LINE}\n`)).toBe(LINE.length + 1)
    expect(batch.time[batch.count - 1]).toBe(1_626_905_042_645_596)
    expect(rows()).toEqual([
      { channel: 'can1', id: 0x0cf00400, data: [0x50, 0x7d, 0x8d, 0xd1, 0x12, 0x00, 0xf4, 0x8e], length: 8 },
    ])
  })

  it('may end with a carriage return', () => {
    expect(read(`${LINE}\r\n`)).toBe(LINE.length + 2)
  })

  it.each([0, 1, 2, 3, 4, 5, 6, 7, 8])('may have %i data bytes; those missing are FF', (length) => {
    for (const newline of ['\n', '\r\n']) {
      batch.count = 0
      const data = '0102030405060708'.slice(0, length * 2)
      expect(read(`(1626905042.645596) can1 0CF00400#${data}${newline}`)).toBeGreaterThan(0)
      const wanted = Array.from({ length: 8 }, (_, at) => (at < length ? at + 1 : 0xff))
      expect(rows()).toMatchObject([{ data: wanted, length }])
    }
  })

  it('may be in lower case, and may have bit 31 set: the identifier is the same one', () => {
    read(`${LINE}\n`)
    read(`${LINE.toLowerCase()}\n`)
    read(`${LINE.replace('0CF00400', '8cF00400')}\n`)
    expect(new Set(batch.key.subarray(0, 3)).size).toBe(1)
    expect(keys.count).toBe(1)
    expect(rows()[1]).toEqual(rows()[0])
  })

  it('may be of another second and interface than the one before', () => {
    read(`${LINE}\n`)
    read('(1626905043.000001) can0 18FEEE00#11\n')
    expect(batch.time[batch.count - 1]).toBe(1_626_905_043_000_001)
    read('(143.800747) can1 18FEEE00#11\n')
    expect(batch.time[batch.count - 1]).toBe(143_800_747)
    read('(1626905043.999999) can1 18FEEE00#11\n')
    expect(batch.time[batch.count - 1]).toBe(1_626_905_043_999_999)
    expect(rows().map(({ channel }) => channel)).toEqual(['can1', 'can0', 'can1', 'can1'])
  })

  it.each(['b', 'can', 'vcan', 'slcan12', 'nine-char'])('may come from an interface named %s', (name) => {
    meet(name)
    expect(read(`(1626905042.645596) ${name} 18FEEE00#11\n`)).toBeGreaterThan(0)
    expect(rows()[0].channel).toBe(name)
  })

  it('leaves alone what stands behind it', () => {
    expect(read(`${LINE}\n(2`)).toBe(LINE.length + 1)
    expect(read('(1626905042.645596) can1 18FEEE00#\n11223344556677\n')).toBe(
      '(1626905042.645596) can1 18FEEE00#\n'.length,
    )
    expect(rows()[1].length).toBe(0)
  })
})

describe('any other line', () => {
  it.each([
    ['an interface not met yet', '(1626905042.645596) can2 18FEEE00#11\n'],
    ['the beginning of a known interface', '(1626905042.645596) can 18FEEE00#11\n'],
    ['a known interface and more', '(1626905042.645596) can10 18FEEE00#11\n'],
    ['an 11-bit identifier', '(1626905042.645596) can1 301#096FA73B0AB80C98\n'],
    ['a padded 11-bit identifier', '(1626905042.645596) can1      301#096FA73B0AB80C98\n'],
    ['a remote frame', '(1626905042.645596) can1 18FEEE00#R3\n'],
    ['a CAN FD frame', '(1626905042.645596) can1 18FEEE00##111\n'],
    ['the flag of an error frame', '(1626905042.645596) can1 20000088#0000000000000000\n'],
    ['the flag of a remote frame', '(1626905042.645596) can1 58FEEE00#\n'],
    ['nine data bytes', '(1626905042.645596) can1 18FEEE00#112233445566778899\n'],
    ['half a byte', '(1626905042.645596) can1 18FEEE00#112\n'],
    ['eight bytes and a half', '(1626905042.645596) can1 18FEEE00#11223344556677889\n'],
    ['no hexadecimal digit', '(1626905042.645596) can1 18FEEE00#11223344556677G8\n'],
    ['none in the identifier', '(1626905042.645596) can1 18FEEE0G#1122334455667788\n'],
    ['text behind', '(1626905042.645596) can1 18FEEE00#1122334455667788 R\n'],
    ['a carriage return alone', '(1626905042.645596) can1 18FEEE00#1122334455667788\r'],
    ['two carriage returns', '(1626905042.645596) can1 18FEEE00#1122334455667788\r\r\n'],
    ['five decimals', '(1626905042.64559) can1 18FEEE00#11\n'],
    ['seven decimals', '(1626905042.6455960) can1 18FEEE00#11\n'],
    ['a letter in the decimals', '(1626905042.6455x6) can1 18FEEE00#11\n'],
    ['eleven digits of seconds', '(16269050420.645596) can1 18FEEE00#11\n'],
    ['two digits of seconds', '(42.645596) can1 18FEEE00#11\n'],
    ['seconds beyond exact microseconds', '(9999999999.645596) can1 18FEEE00#11\n'],
    ['no bracket', '1626905042.645596) can1 18FEEE00#11\n'],
    ['two blanks', '(1626905042.645596)  can1  18FEEE00#11\n'],
    ['the console form', ' (1626905042.645596)  can1  18FEEE00   [1]  11\n'],
    ['a second line in it', '(1626905042.64(1626905042.645596) can1 18FEEE00#11\n'],
    ['nothing', '\n'],
  ])('is left to the patient parser: %s', (_, line) => {
    expect(read(line)).toBe(-1)
    // And so it is once a common line has been read.
    expect(read(`${LINE}\n`)).toBeGreaterThan(0)
    expect(read(line)).toBe(-1)
    expect(batch.count).toBe(1)
  })

  it('from an interface met in another form of line is left to it too', () => {
    meet('can7', '  ')
    meet('can8', '(1)  ')
    meet('can9', '(1) ', '\t')
    meet('ten-letters')
    for (const name of ['can7', 'can8', 'can9', 'ten-letters']) {
      expect(read(`(1626905042.645596) ${name} 18FEEE00#11\n`)).toBe(-1)
    }
  })
})

describe('several lines', () => {
  const lines = ['0CF00400#01', '18FEEE00#0203', '18FEF100#0102030405060708', '0CF00300#'].map(
    (frame, i) => `(162690504${i}.00000${i}) can${i % 2} ${frame}${i % 2 === 0 ? '\r' : ''}\n`,
  )
  const text = lines.join('')
  const bytes = new Uint8Array(text.length + FAST_LINE_BYTES).fill(0x31)
  bytes.set(utf8(text))
  const view = new DataView(bytes.buffer)
  const startOf = (line: number): number => lines.slice(0, line).join('').length

  it('are read in one go, into rows that follow those there are', () => {
    batch.count = 5
    expect(fast.read(view, bytes, 0, text.length - 1)).toBe(text.length)
    expect(rows().slice(5)).toEqual([
      { channel: 'can0', id: 0x0cf00400, data: [1, 255, 255, 255, 255, 255, 255, 255], length: 1 },
      { channel: 'can1', id: 0x18feee00, data: [2, 3, 255, 255, 255, 255, 255, 255], length: 2 },
      { channel: 'can0', id: 0x18fef100, data: [1, 2, 3, 4, 5, 6, 7, 8], length: 8 },
      { channel: 'can1', id: 0x0cf00300, data: [255, 255, 255, 255, 255, 255, 255, 255], length: 0 },
    ])
    expect([...batch.time.subarray(5, 9)]).toEqual([
      1_626_905_040_000_000, 1_626_905_041_000_001, 1_626_905_042_000_002, 1_626_905_043_000_003,
    ])
  })

  it('stop before a line that starts behind the last place allowed', () => {
    expect(fast.read(view, bytes, 0, startOf(2))).toBe(startOf(3))
    expect(fast.read(view, bytes, startOf(3), startOf(3) - 1)).toBe(startOf(3))
    expect(batch.count).toBe(3)
  })

  it('stop where the batch is full', () => {
    batch.count = batch.capacity - 2
    expect(fast.read(view, bytes, 0, text.length - 1)).toBe(startOf(2))
    expect(batch.count).toBe(batch.capacity)
    expect(fast.read(view, bytes, startOf(2), text.length - 1)).toBe(startOf(2))
  })

  it('stop at the first that is not common, which leaves no row', () => {
    const torn = bytes.slice()
    torn[startOf(2) + 20] = 0x5a
    expect(fast.read(view, bytes, 0, startOf(1))).toBe(startOf(2))
    batch.count = 0
    expect(fast.read(new DataView(torn.buffer), torn, 0, text.length - 1)).toBe(startOf(2))
    expect(batch.count).toBe(2)
  })
})

describe('many identifiers', () => {
  it('are told apart', () => {
    const ids = Array.from({ length: 3000 }, (_, index) => (0x18f00000 + index * 257) % 0x20000000)
    for (const _ of [0, 1]) {
      batch.count = 0
      for (const id of ids) {
        const hex = id.toString(16).padStart(8, '0').toUpperCase()
        expect(read(`(1626905042.645596) can${id % 2} ${hex}#11\n`)).toBeGreaterThan(0)
        if (batch.count === batch.capacity) batch.count = 0
        const row = (batch.count === 0 ? batch.capacity : batch.count) - 1
        expect(keys.id[batch.key[row]]).toBe(id)
        expect(keys.channel[batch.key[row]]).toBe(id % 2)
      }
      expect(keys.count).toBe(3000)
    }
  })

  it('beyond its table are left to the patient parser, and so are those that are not allowed', () => {
    let taken = 0
    for (let id = 0; id < 5000; id++) {
      if (read(`(1626905042.645596) can0 ${(0x10000000 + id).toString(16)}#11\n`) > 0) taken++
      batch.count = 0
    }
    expect(taken).toBe(3072)
    keys = new FrameKeys(1)
    fast = new FastLines(keys, batch)
    meet('can0')
    expect(read('(1626905042.645596) can0 18FEEE00#11\n')).toBeGreaterThan(0)
    expect(read('(1626905042.645596) can0 18FEEF00#11\n')).toBe(-1)
    expect(read('(1626905042.645596) can0 18FEEE00#11\n')).toBeGreaterThan(0)
  })
})
