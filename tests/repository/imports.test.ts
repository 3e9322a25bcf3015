import { spawnSync } from 'node:child_process'
import { mkdirSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { dirname, join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { afterEach, beforeEach, expect, it } from 'vitest'

const SCRIPT = fileURLToPath(new URL('../../scripts/check-imports.js', import.meta.url))

let folder: string
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'firstcrank-imports-'))
})
afterEach(() => {
  rmSync(folder, { recursive: true })
})

/** What the dependency rule says of a tree that holds one file, and the exit code. */
function check(path: string, text: string) {
  mkdirSync(join(folder, dirname(path)), { recursive: true })
  writeFileSync(join(folder, path), text)
  const { status, stderr } = spawnSync(process.execPath, [SCRIPT, folder], { encoding: 'utf8' })
  return { status, stderr }
}

const DECODER = 'packages/decoder/src'

it.each([
  ['a folder to the left', `${DECODER}/signal/a.ts`, "import { b } from '../catalog/b.js'"],
  ['a file of the same folder', `${DECODER}/log/a.ts`, "import { b } from './b.js'"],
  ['a file in a folder below', `${DECODER}/catalog/a.ts`, "import { b } from './groups/b.js'"],
  ['every part, from the front door', `${DECODER}/index.ts`, "export * from './recording/b.js'"],
  ['a package to the left', 'packages/simulator/src/a.ts', "import { b } from '@firstcrank/decoder'"],
  ['a part that a package exports', 'packages/simulator/src/a.ts', "import { b } from '@firstcrank/decoder/catalog'"],
  ['zod, for definitions', 'packages/definitions/src/a.ts', "import { z } from 'zod'"],
  ['Node, for the command', 'apps/cli/src/a.ts', "import { b } from 'node:fs/promises'"],
  [
    'anything, for a test',
    `${DECODER}/log/a.test.ts`,
    "import { b } from 'vitest'\nimport { c } from '../recording/c.js'",
  ],
])('allows %s', (_, path, text) => {
  expect(check(path, text)).toEqual({ status: 0, stderr: '' })
})

it.each([
  ['a folder to the right', `${DECODER}/catalog/a.ts`, "import { b } from '../signal/b.js'", '../signal/b.js'],
  ['a type from the right', `${DECODER}/catalog/a.ts`, "import type { B } from '../signal/b.js'", '../signal/b.js'],
  ['log from bus', `${DECODER}/bus/a.ts`, "import { b } from '../log/b.js'", '../log/b.js'],
  ['bus from log', `${DECODER}/log/a.ts`, "import { b } from '../bus/b.js'", '../bus/b.js'],
  ['the front door from inside', `${DECODER}/recording/a.ts`, "import { b } from '../index.js'", '../index.js'],
  [
    'from a folder below',
    `${DECODER}/catalog/groups/a.ts`,
    "import { b } from '../../signal/b.js'",
    '../../signal/b.js',
  ],
  ['over several lines', `${DECODER}/log/a.ts`, "import {\n  b,\n  c as d,\n} from '../bus/b.js'", '../bus/b.js'],
  ['for its effects alone', `${DECODER}/log/a.ts`, "import '../bus/b.js'", '../bus/b.js'],
  ['by passing it on', `${DECODER}/log/a.ts`, "export { b } from '../bus/b.js'", '../bus/b.js'],
  ['when it runs', `${DECODER}/log/a.ts`, "export const b = () => import('../bus/b.js')", '../bus/b.js'],
  ['as a type in place', `${DECODER}/log/a.ts`, "export type B = import('../bus/b.js').B", '../bus/b.js'],
  ['Node from the decoder', `${DECODER}/log/a.ts`, "import { b } from 'node:fs'", 'node:fs'],
  ['Node by its old name', 'apps/cli/src/a.ts', "import { b } from 'fs'", 'fs'],
  ['a package from the decoder', `${DECODER}/catalog/a.ts`, "import { z } from 'zod'", 'zod'],
  ['a package to the right', `${DECODER}/index.ts`, "export * from '@firstcrank/simulator'", '@firstcrank/simulator'],
  ['an app from a package', 'packages/simulator/src/a.ts', "import { b } from '@firstcrank/cli'", '@firstcrank/cli'],
  [
    'past the front door',
    'packages/simulator/src/a.ts',
    "import { b } from '../../decoder/src/bus/b.js'",
    '../../decoder/src/bus/b.js',
  ],
  [
    'tests from a source',
    'apps/cli/src/a.ts',
    "import { b } from '../../../tests/support/b.js'",
    '../../../tests/support/b.js',
  ],
])('refuses %s', (_, path, text, specifier) => {
  const { status, stderr } = check(path, `/** A file. */\n${text}\n`)
  expect(stderr).toMatch(new RegExp(`^${path}:2: \\S+ may not import '${specifier}'\\n$`))
  expect(status).toBe(1)
})

it.each([`${DECODER}/plots/a.ts`, 'packages/plots/src/a.ts'])('refuses %s, a place the table does not know', (path) => {
  expect(check(path, '')).toEqual({ status: 1, stderr: `${path}: its folder has no row in scripts/check-imports.js\n` })
})
