/**
 * A log of 5,000,000 lines (about 25 groups from four nodes, a multi-packet DM1 every second): parse
 * and decode, against general-purpose ways to take the same fields out of the same bytes. Each reading
 * is a process of its own, cold; all take turns, and the medians are compared.
 *
 *     npm run bench -- decode            5 rounds
 *     ROUNDS=9 LINES=1000000 npm run bench -- decode
 */
import { execFile } from 'node:child_process'
import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { promisify } from 'node:util'
import { writeCorpus } from './corpus.js'

const LINES = Number(process.env.LINES ?? 5_000_000)
const ROUNDS = Number(process.env.ROUNDS ?? 5)

const SHAPES = {
  usual: {},
  'CRLF line ends': { newline: '\r\n' },
  'two interfaces in turn': { channels: ['can0', 'can1'] },
  '20 % short frames': { shortEvery: 5 },
}

const READINGS = [
  { name: 'decode to Float64 columns', candidate: 'decodeColumns', shape: 'usual' },
  { name: 'decode, CRLF', candidate: 'decodeColumns', shape: 'CRLF line ends' },
  { name: 'decode, two interfaces', candidate: 'decodeColumns', shape: 'two interfaces in turn' },
  { name: 'decode, 20 % short frames', candidate: 'decodeColumns', shape: '20 % short frames' },
  { name: 'decode, states too', candidate: 'decodeEverything', shape: 'usual' },
  { name: 'summary, nothing kept', candidate: 'summarise', shape: 'usual' },
  { name: 'udsv, split to strings', candidate: 'splitStrings', shape: 'usual' },
  { name: 'udsv, split and typed', candidate: 'splitTyped', shape: 'usual' },
  { name: 'readline and a regular expression', candidate: 'matchLines', shape: 'usual' },
]

const run = promisify(execFile)
const candidates = fileURLToPath(new URL('candidates.js', import.meta.url))
const folder = mkdtempSync(join(tmpdir(), 'firstcrank-bench-'))

async function read({ candidate, shape }) {
  const { stdout } = await run(process.execPath, [candidates, candidate, pathOf(shape)])
  return JSON.parse(stdout)
}

function pathOf(shape) {
  return join(folder, `${Object.keys(SHAPES).indexOf(shape)}.log`)
}

function median(numbers) {
  const sorted = [...numbers].sort((a, b) => a - b)
  const middle = sorted.length >> 1
  return sorted.length % 2 === 1 ? sorted[middle] : (sorted[middle - 1] + sorted[middle]) / 2
}

/** A figure to hold: `ratio` of `of` to `by` at least or at most so much. */
const figures = (result) => {
  const ms = (name) => result.get(name).milliseconds
  const decode = ms('decode to Float64 columns')
  const columns = result.get('decode to Float64 columns')
  return [
    ['times as fast as udsv, split and typed', ms('udsv, split and typed') / decode, 'at least', 3],
    [
      'times as fast as readline and a regular expression',
      ms('readline and a regular expression') / decode,
      'at least',
      8,
    ],
    ['times the usual cost with CRLF', ms('decode, CRLF') / decode, 'at most', 1.5],
    ['times the usual cost with two interfaces', ms('decode, two interfaces') / decode, 'at most', 1.5],
    ['times the usual cost with 20 % short frames', ms('decode, 20 % short frames') / decode, 'at most', 1.5],
    ['MiB at the peak beyond 1.5 × the columns', columns.peakMiB - 1.5 * columns.columnMiB, 'at most', 64],
    ['MiB at the peak of a summary', result.get('summary, nothing kept').peakMiB, 'at most', 96],
  ]
}

try {
  console.log(`writing ${Object.keys(SHAPES).length} logs of ${LINES.toLocaleString('en')} lines`)
  for (const [shape, options] of Object.entries(SHAPES)) await writeCorpus(pathOf(shape), { lines: LINES, ...options })

  const measured = new Map(READINGS.map(({ name }) => [name, []]))
  for (let round = 1; round <= ROUNDS; round++) {
    console.log(`round ${round} of ${ROUNDS}`)
    for (const reading of READINGS) measured.get(reading.name).push(await read(reading))
  }

  const result = new Map()
  console.log('\n   ms (median)   least   peak MiB   reading')
  for (const { name } of READINGS) {
    const times = measured.get(name).map(({ milliseconds }) => milliseconds)
    const peakMiB = median(measured.get(name).map((one) => one.peakMiB))
    result.set(name, { ...measured.get(name)[0], milliseconds: median(times), peakMiB })
    const cells = [
      median(times).toFixed(0).padStart(14),
      Math.min(...times)
        .toFixed(0)
        .padStart(8),
      peakMiB.toFixed(0).padStart(11),
    ]
    console.log(`${cells.join('')}   ${name}`)
  }
  console.log(`\n${result.get('decode to Float64 columns').values.toLocaleString('en')} numbers in Float64 columns,`)
  console.log(`${result.get('decode, states too').values.toLocaleString('en')} values with the states' codes\n`)
  for (const [what, value, bound, limit] of figures(result)) {
    const holds = bound === 'at least' ? value >= limit : value <= limit
    if (!holds) process.exitCode = 1
    console.log(`${holds ? 'holds ' : 'FAILS '} ${value.toFixed(2).padStart(8)} ${what} (${bound} ${limit})`)
  }
} finally {
  rmSync(folder, { recursive: true })
}
