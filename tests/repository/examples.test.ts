/** The examples in the documentation run, and print something. */
import { execFile } from 'node:child_process'
import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { promisify } from 'node:util'
import { afterAll, describe, expect, test } from 'vitest'

const root = fileURLToPath(new URL('../..', import.meta.url))
const run = promisify(execFile)
// Inside the tree, so that the packages are found by name.
const folder = mkdtempSync(join(root, 'node_modules', '.examples-'))
afterAll(() => rmSync(folder, { recursive: true }))

const examples = ['docs/api.md', 'README.md'].flatMap((page) => {
  const text = readFileSync(join(root, page), 'utf8')
  return [...text.matchAll(/^```js\n([\s\S]*?)^```/gm)].map(([, code], index) => ({ page, number: index + 1, code }))
})

describe('examples', () => {
  test('are there', () => {
    expect(examples.filter(({ page }) => page === 'docs/api.md').length).toBeGreaterThanOrEqual(4)
  })

  test.each(examples)('$page, number $number', async ({ page, number, code }) => {
    const file = join(folder, `${page.replaceAll(/\W/g, '-')}-${number}.mjs`)
    writeFileSync(file, code)
    const { stdout, stderr } = await run(process.execPath, [file], { cwd: root })
    expect(stderr).toBe('')
    expect(stdout).not.toMatch(/NaN|undefined|null/)
    expect(stdout.trim()).not.toBe('')
  })
})
