/**
 * `npm run samples`: writes `sample-logs/` anew from the simulator: each recording, what it really holds
 * beside it, and the list of them. The same text on every machine; compressed bytes may differ between
 * versions of zlib.
 */
import { mkdirSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { gzipSync } from 'node:zlib'
import { main, ROOT, say, setUp } from './setup.js'

const FOLDER = 'sample-logs'

/**
 * Name of the file with what a recording really holds.
 *
 * @param {string} file
 */
export function factsFile(file) {
  return file.replace(/\.log(\.gz)?$/, '.facts.json')
}

/** @typedef {{ file: string, about: string, truth: { duration: number, frames: number, diagnosis: string } }} Row */

/**
 * @param {readonly Row[]} rows
 */
function listOf(rows) {
  /** @param {Row} row */
  const line = ({ file, about, truth }) =>
    `| [${file}](${file}) | ${Math.round(truth.duration)} s | ${truth.frames} | ${about} | ${truth.diagnosis} |`
  return `# Sample logs

Invented recordings of an invented engine: a mountain-rescue truck at 1,600 m with a 3.0-litre four-cylinder common-rail diesel. Nothing here was recorded from a real vehicle. Made by \`npm run samples\` from the simulator; beside each log a \`.facts.json\` says what was made to happen and when.

| log | length | frames | what it is | right diagnosis |
| --- | --: | --: | --- | --- |
${rows.map(line).join('\n')}
`
}

await main(async () => {
  await setUp()
  const { SAMPLE_LOGS, simulateSample } = await import('../packages/simulator/dist/index.js')
  mkdirSync(join(ROOT, FOLDER), { recursive: true })
  const rows = []
  for (const { file, about } of SAMPLE_LOGS) {
    const { chunks, truth } = simulateSample(file)
    const text = [...chunks].join('')
    writeFileSync(join(ROOT, FOLDER, file), file.endsWith('.gz') ? gzipSync(text, { level: 9 }) : text)
    const facts = truth()
    writeFileSync(join(ROOT, FOLDER, factsFile(file)), `${JSON.stringify(facts, null, 2)}\n`)
    rows.push({ file, about, truth: facts })
    say(`${FOLDER}/${file}`)
  }
  writeFileSync(join(ROOT, FOLDER, 'README.md'), listOf(rows))
  return 0
})
