/**
 * One reading of one log in a fresh process: `node candidates.js NAME FILE`. Prints what it cost as
 * JSON: milliseconds from before the first byte to the last value, peak resident memory in MiB, and a
 * count that shows that the work was done.
 */
import { createReadStream, openSync, readSync } from 'node:fs'

const CHUNK_BYTES = 128 * 1024
/** Time, payload, length: what a recording keeps of a frame beside the decoded columns. */
const BYTES_KEPT_A_FRAME = 17

/** Chunks in one buffer that is used again. */
function* chunksOf(path) {
  const file = openSync(path)
  const buffer = new Uint8Array(CHUNK_BYTES)
  for (;;) {
    const bytes = readSync(file, buffer, 0, buffer.length, null)
    if (bytes === 0) return
    yield buffer.subarray(0, bytes)
  }
}

/** Parse, keep, and decode every numeric signal to a Float64 column. */
function decodeColumns(path, decoder) {
  return decode(path, decoder, (signal) => (signal.definition.kind === 'numeric' ? signal.values() : undefined))
}

/** The same, and the code of every state. */
function decodeEverything(path, decoder) {
  return decode(path, decoder, (signal) => (signal.definition.kind === 'numeric' ? signal.values() : signal.raws()))
}

async function decode(path, { openRecording }, columnOf) {
  const recording = await openRecording(chunksOf(path))
  const columns = recording.signals().flatMap((signal) => columnOf(signal) ?? [])
  let bytes = 0
  for (const stream of recording.streams) bytes += stream.count * BYTES_KEPT_A_FRAME
  let values = 0
  for (const column of columns) {
    bytes += column.byteLength
    values += column.length
  }
  return { count: recording.counts.extended, values, columnMiB: bytes / 2 ** 20 }
}

/** The summary as the command makes it: nothing is kept. */
async function summarise(path, { summarizeLog }) {
  const summary = await summarizeLog(chunksOf(path))
  return { count: summary.counts.extended }
}

/** Rows of strings: time, interface, identifier with data. */
async function splitStrings(path, { initParser }) {
  const column = (name) => ({ name, type: 's', repl: { empty: null, null: undefined, NaN: undefined } })
  const schema = {
    skip: 0,
    col: ' ',
    row: '\n',
    encl: '',
    esc: '',
    trim: false,
    cols: ['time', 'channel', 'frame'].map(column),
  }
  const parser = initParser(schema)
  let count = 0
  for await (const chunk of createReadStream(path, { encoding: 'latin1', highWaterMark: CHUNK_BYTES })) {
    parser.chunk(chunk, parser.stringArrs, () => {
      count++
    })
  }
  parser.end()
  return { count }
}

/** Identifier as a number and data as bytes: the least that a decoder can go on from. */
function identifierAndBytes(identifier, data) {
  return { identifier: Number.parseInt(identifier, 16), bytes: Buffer.from(data, 'hex') }
}

/** The same rows, with time and identifier as numbers and the data as bytes. */
async function splitTyped(path, { initParser }) {
  const repl = { empty: null, null: undefined, NaN: undefined }
  const schema = {
    skip: 0,
    col: ' ',
    row: '\n',
    encl: '',
    esc: '',
    trim: false,
    cols: [
      { name: 'time', type: 'n', repl, parse: (text) => +text.slice(1, -1) },
      { name: 'channel', type: 's', repl },
      { name: 'frame', type: 's', repl, parse: (text) => identifierAndBytes(text.slice(0, 8), text.slice(9)) },
    ],
  }
  const parser = initParser(schema)
  let count = 0
  for await (const chunk of createReadStream(path, { encoding: 'latin1', highWaterMark: CHUNK_BYTES })) {
    parser.chunk(chunk, parser.typedArrs, () => {
      count++
    })
  }
  parser.end()
  return { count }
}

/** Lines and a regular expression that takes the fields out. */
async function matchLines(path, { createInterface }) {
  const line = /^\((\d+\.\d+)\) (\S+) ([0-9A-F]+)#([0-9A-F]*)$/
  let count = 0
  let last = 0
  for await (const text of createInterface({ input: createReadStream(path), crlfDelay: Number.POSITIVE_INFINITY })) {
    const match = line.exec(text)
    if (match === null) continue
    const time = Number(match[1])
    const { identifier, bytes } = identifierAndBytes(match[3], match[4])
    if (time >= last && identifier > 0 && bytes.length <= 8) count++
    last = time
  }
  return { count }
}

/** Each with the package it needs, loaded before the clock starts. */
const CANDIDATES = {
  decodeColumns: [decodeColumns, '@firstcrank/decoder'],
  decodeEverything: [decodeEverything, '@firstcrank/decoder'],
  summarise: [summarise, '@firstcrank/decoder'],
  splitStrings: [splitStrings, 'udsv'],
  splitTyped: [splitTyped, 'udsv'],
  matchLines: [matchLines, 'node:readline'],
}

const [name, path] = process.argv.slice(2)
const [read, needs] = CANDIDATES[name]
const library = await import(needs)
const started = performance.now()
const facts = await read(path, library)
const milliseconds = performance.now() - started
process.stdout.write(JSON.stringify({ milliseconds, peakMiB: process.resourceUsage().maxRSS / 1024, ...facts }))
