/**
 * Writes the files that are made from others; with `--check` only says which are out of date.
 * Needs the packages built.
 */
import { readFileSync, writeFileSync } from 'node:fs'
import { profileJsonSchema } from '../packages/analysis/dist/index.js'
import { definitionsJsonSchema } from '../packages/definitions/dist/index.js'
import { checksPage, faultsPage } from './knowledge.js'
import { verification } from './verification.js'

const root = new URL('../', import.meta.url)
const json = (/** @type {unknown} */ value) => `${JSON.stringify(value, null, 2)}\n`

/**
 * File and what should be in it.
 *
 * @type {readonly (readonly [path: string, make: () => string])[]}
 */
const GENERATED = [
  ['packages/definitions/definitions.schema.json', () => json(definitionsJsonSchema())],
  ['packages/analysis/profile.schema.json', () => json(profileJsonSchema())],
  ['docs/verification.md', verification],
  ['docs/checks.md', checksPage],
  ['docs/faults.md', faultsPage],
]

const checkOnly = process.argv.includes('--check')
for (const [path, make] of GENERATED) {
  const file = new URL(path, root)
  const text = make()
  let before = ''
  try {
    before = readFileSync(file, 'utf8')
  } catch {
    // Not there yet: as good as out of date.
  }
  if (before === text) continue
  if (checkOnly) {
    console.error(`${path} is out of date: npm run generate`)
    process.exitCode = 1
  } else {
    writeFileSync(file, text)
    console.log(`wrote ${path}`)
  }
}
