/**
 * Whole logs of anything: noise, soup of line parts, frames of the groups that are hardest to read, real
 * excerpts with damage. Nothing throws, every line and frame is accounted for, and what must agree agrees.
 * The cases follow from the seed; how many are run depends on the time there is. A failure names its case:
 * `FIRSTCRANK_FUZZ=seed:case npx vitest run tests/fuzz` runs that one alone.
 */
import { gzipSync } from 'node:zlib'
import {
  formatIdentifier,
  openRecording,
  type Recording,
  type RecordingOptions,
  readMessages,
  summarizeLog,
} from '@firstcrank/decoder'
import { describe, expect, it } from 'vitest'
import { expectSameText, print } from '../support/fingerprint.js'
import { readExcerpt } from '../support/golden.js'
import { inChunks, utf8 } from '../support/log.js'

const [seed = '20240513', only] = (process.env['FIRSTCRANK_FUZZ'] ?? '').split(':').filter((part) => part !== '')
const MILLISECONDS = 3000
const LEAST_CASES = 60

/** Random numbers that follow from a seed (mulberry32, a published generator in the public domain). */
class Dice {
  #state: number

  constructor(seed: number) {
    this.#state = seed
  }

  /** A whole number from 0, below `sides`. */
  below(sides: number): number {
    this.#state = (this.#state + 0x6d2b79f5) | 0
    let mixed = Math.imul(this.#state ^ (this.#state >>> 15), 1 | this.#state)
    mixed = (mixed + Math.imul(mixed ^ (mixed >>> 7), 61 | mixed)) ^ mixed
    return Math.floor((((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 32) * sides)
  }

  pick<T>(choices: readonly T[]): T {
    return choices[this.below(choices.length)]
  }

  bytes(length: number): Uint8Array {
    return Uint8Array.from({ length }, () => this.below(256))
  }

  hex(bytes: number): string {
    return Buffer.from(this.bytes(bytes)).toString('hex')
  }
}

const PARTS = [
  ...[
    '(',
    ')',
    '#',
    '##',
    '.',
    ' ',
    '  ',
    '\t',
    '\n',
    '\n',
    '\r\n',
    '\0',
    '[',
    ']',
    '-',
    '{',
    '}',
    "'",
    '*',
    ';',
    '//',
  ],
  ...[
    'can0',
    'can1',
    'RX - -',
    'TX B E',
    'R',
    'remote request',
    'ERRORFRAME',
    '[8]',
    '[0]',
    '1.5',
    '(1.5)',
    '(0.000100)',
  ],
  ...['18FEEE00', '0CF00400', '18ECFF00', '98FEEE00', '123', '20000088', '11', ' 11 22 33', '1122334455667788'],
  ...['(1600000000.000000) can0 ', '\n(1600000000.100000) can1 18FECA00#04FF5E000301FFFF\n', '\ufeff', 'é', '😀'],
]

/** Groups whose meaning depends on what came before, or whose payloads have a structure of their own. */
const HARD = [
  ...[60416, 60416, 60160, 60160, 60160, 51200, 50944, 59904, 59392, 60928, 65240, 65226, 65227, 65231, 65229, 64951],
  ...[64950, 65230, 49408, 49664, 54016, 57088, 49920, 65259, 65242, 64965, 65260, 65251, 65249, 61444, 65262, 40448],
]

const SOUPS: readonly ((dice: Dice) => Uint8Array)[] = [
  (dice) => dice.bytes(dice.below(4000)),
  (dice) => utf8(Array.from({ length: dice.below(600) }, () => dice.pick(PARTS)).join('')),
  // Frames of hard groups between few nodes.
  (dice) => {
    let time = 1_600_000_000_000_000
    let text = ''
    for (let frames = dice.below(400); frames > 0; frames--) {
      time += dice.pick([0, 100, 1000, 50_000, 50_000, 200_000, -30_000, 3_000_000])
      const id = formatIdentifier({
        priority: 6,
        pgn: dice.pick(HARD),
        sa: dice.below(4),
        da: dice.pick([0, 1, 2, 255]),
      })
      // Control bytes of both transport protocols, sizes and group numbers that fit together now and then.
      const control = dice.pick(['20', '10', '11', '13', 'FF', '14', '15', '16', '17', '00', '01', '02', '03'])
      const rest =
        dice.pick(['0E0002FF', '090002FF', '02010000', 'FFFFFFFF', dice.hex(4)]) +
        dice.pick(['CAFE00', 'E3FE00', dice.hex(3)])
      const data = dice.below(3) > 0 ? control + rest : dice.hex(dice.below(9))
      const stamp = `(${Math.floor(time / 1e6)}.${String(time % 1e6).padStart(6, '0')})`
      text += `${stamp} can${dice.below(2)} ${id.toString(16).padStart(8, '0')}#${data}\n`
    }
    return utf8(text)
  },
  // A real excerpt with lines moved, doubled, cut, and bytes changed.
  (dice) => {
    const lines = readExcerpt(
      dice.pick(['truck-a-idling-slow-groups', 'truck-b-driving', 'truck-b-recorder-hole']),
    ).split('\n')
    for (let changes = dice.below(40); changes > 0; changes--) {
      const at = dice.below(lines.length)
      const line = lines[at]
      const cut = dice.below(line.length + 1)
      const changed = dice.pick([
        line.slice(cut),
        line.slice(0, cut),
        line + line,
        line.slice(0, cut) + line,
        `${line}\r`,
        line.replace('.', ':'),
      ])
      lines.splice(at, dice.below(3), changed)
    }
    const bytes = utf8(lines.join(dice.pick(['\n', '\n', '\r\n'])))
    for (let changes = dice.below(60); changes > 0; changes--) bytes[dice.below(bytes.length)] = dice.below(256)
    return bytes
  },
  // A packed one, damaged.
  (dice) => {
    const packed = new Uint8Array(gzipSync(readExcerpt('truck-b-recorder-hole')))
    for (let changes = dice.below(4); changes > 0; changes--)
      packed[2 + dice.below(packed.length - 2)] = dice.below(256)
    return packed.subarray(0, packed.length - dice.pick([0, 0, 1, 8, 300]))
  },
]

function randomOptions(dice: Dice): RecordingOptions {
  return {
    summary: true,
    maxProblems: dice.pick([0, 3, 100]),
    maxKeys: dice.pick([2, 30, 65_536]),
    maxLineBytes: dice.pick([1, 600, 4096]),
    ...dice.pick([{}, {}, { deltas: true }, { deltas: false }]),
    ...dice.pick([{}, { conversion: () => 1 as const }]),
    ...dice.pick([{}, { transportLimits: { maxSessions: 2, maxPayload: 20 } }]),
  }
}

/** What holds for every recording. */
function expectSound(recording: Recording, options: RecordingOptions): void {
  const { lines, blank, comments, malformed, extended, standard, remote, error, fd } = recording.counts
  expect(blank + comments + malformed + extended + standard + remote + error + fd).toBe(lines)
  const lost = recording.problems.counts().filter(({ lost, code }) => lost && code !== 'damaged-compression')
  expect(lost.reduce((sum, { count }) => sum + count, 0)).toBe(malformed)
  expect(recording.problems.kept.length).toBeLessThanOrEqual(
    (options.maxProblems ?? 100) + recording.problems.counts().length,
  )
  expect(recording.log.reader.keys.count).toBeLessThanOrEqual(options.maxKeys ?? 65_536)

  let messages = 0
  for (const stream of recording.streams) {
    const times = stream.times()
    expect(times.every((time, row) => Number.isSafeInteger(time) && (row === 0 || times[row - 1] <= time))).toBe(true)
    messages += stream.count
  }
  const { completed } = recording.log.bus.transportCounts
  expect(messages).toBe(extended + completed)
  const summary = recording.summary()
  expect(summary?.nodes.reduce((sum, { frames }) => sum + frames, 0)).toBe(extended)
  expect(recording.events.every(({ time }, index, events) => index === 0 || events[index - 1].time <= time)).toBe(true)
}

/** Asks a recording for everything it has. */
function askForAll(recording: Recording): void {
  for (const signal of recording.signals()) {
    const values = signal.values()
    const statuses = signal.statuses()
    // A value wherever the status says so, and nowhere else.
    expect(values.every((value, row) => Number.isFinite(value) === (statuses[row] === 0))).toBe(true)
    expect(signal.raws()).toHaveLength(signal.count)
    const { count } = signal.overview(signal.stream.time(0), signal.stream.time(signal.count - 1), 7)
    expect(count.reduce((sum, rows) => sum + rows, 0)).toBe(signal.count)
    expect(signal.statusIntervals().reduce((sum, interval) => sum + interval.count, 0)).toBe(signal.count)
  }
  let before = Number.NEGATIVE_INFINITY
  for (const message of recording.messages()) {
    message.signals()
    message.diagnostic()
    message.identification()
    expect(message.time).toBeGreaterThanOrEqual(before)
    before = message.time
  }
}

async function runCase(number: number): Promise<void> {
  const dice = new Dice(Number(seed) + number * 0x9e37)
  const log = SOUPS[number % SOUPS.length](dice)
  const options = randomOptions(dice)
  const sizes = Array.from({ length: 1 + dice.below(5) }, () => 1 + dice.below(dice.pick([3, 200, 5000])))
  const recording = await openRecording(inChunks(log, sizes), options)
  expectSound(recording, options)
  askForAll(recording)
  expectSameText(print(await summarizeLog(log, options)), print(recording.summary()))
  let messages = 0
  for await (const _ of readMessages(log, options)) messages++
  expect(messages).toBe(recording.streams.reduce((sum, { count }) => sum + count, 0))
}

describe('logs of anything', () => {
  it('are read without an exception, and everything in them is accounted for', async () => {
    const until = performance.now() + MILLISECONDS
    let number = only === undefined ? 0 : Number(only)
    do {
      try {
        await runCase(number)
      } catch (error) {
        throw new Error(`FIRSTCRANK_FUZZ=${seed}:${number}`, { cause: error })
      }
      number++
    } while (only === undefined && (number < LEAST_CASES || performance.now() < until))
    if (only === undefined) expect(number).toBeGreaterThanOrEqual(LEAST_CASES)
  })
})

describe('logs made to fill memory', () => {
  const MIB = 1024 * 1024

  /** The most memory in use while a log is summed up, over what was in use before. */
  async function mostMemory(chunks: Iterable<Uint8Array>, options: RecordingOptions = {}): Promise<number> {
    const used = (): number => {
      const { heapUsed, arrayBuffers } = process.memoryUsage()
      return heapUsed + arrayBuffers
    }
    const before = used()
    let most = before
    const onProgress = (): void => {
      most = Math.max(most, used())
    }
    const { counts, problems } = await summarizeLog(chunks, { ...options, onProgress })
    expect(counts.lines).toBeGreaterThan(0)
    expect(problems.first.length).toBeLessThanOrEqual(101)
    return most - before
  }

  function* repeat(chunk: Uint8Array, times: number): Generator<Uint8Array> {
    for (let time = 0; time < times; time++) yield chunk
  }

  it.each([
    ['a line without an end', 'x'.repeat(65_536), 1000],
    ['nothing but noise', 'noise\n'.repeat(10_000), 60],
    ['nothing but newlines', '\n'.repeat(65_536), 60],
  ])('%s', async (_, text, times) => {
    expect(await mostMemory(repeat(utf8(text), times))).toBeLessThan(32 * MIB)
  })

  function* lines(count: number, line: (number: number) => string): Generator<Uint8Array> {
    for (let from = 0; from < count; from += 1000) {
      yield utf8(Array.from({ length: Math.min(1000, count - from) }, (_, index) => line(from + index)).join(''))
    }
  }
  const stamp = (number: number): string =>
    `(${1_600_000_000 + Math.floor(number / 1000)}.${String((number % 1000) * 1000).padStart(6, '0')})`
  const hex = (value: number, digits: number): string => value.toString(16).padStart(digits, '0')

  it('many identifiers, each more than once', async () => {
    const log = lines(
      60_000,
      (number) => `${stamp(number)} can0 1${hex((number % 20_000) * 517, 7)}#1122334455667788\n`,
    )
    expect(await mostMemory(log)).toBeLessThan(160 * MIB)
  })

  it('long messages that are only announced', async () => {
    const log = lines(
      60_000,
      (number) =>
        `${stamp(number)} can0 18EC${hex(number % 250, 2)}${hex(Math.floor(number / 250) % 250, 2)}#10F906FFFFE3FE00\n`,
    )
    expect(await mostMemory(log)).toBeLessThan(160 * MIB)
  })

  it('faults, NAMEs, texts and questions without number', async () => {
    const log = lines(60_000, (number) => {
      const sa = hex(number % 250, 2)
      const random = hex(Math.imul(number, 2_654_435_761) >>> 0, 8)
      const frames = [
        `18FECA${sa}#04FF${random}FFFF`,
        `18EEFF${sa}#${random}00000000`,
        `18FEDA${sa}#01${random}2A`,
        `18EAFF${sa}#${random.slice(0, 6)}`,
      ]
      return `${stamp(number)} can0 ${frames[number % 4]}\n`
    })
    expect(await mostMemory(log)).toBeLessThan(160 * MIB)
  })
})
