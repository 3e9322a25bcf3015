/** The examples in the documentation run, and print something. */
import { execFile } from 'node:child_process'
import { mkdirSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import { promisify } from 'node:util'
import { afterAll, describe, expect, test } from 'vitest'

const root = fileURLToPath(new URL('../..', import.meta.url))
const run = promisify(execFile)
// Inside the tree, so that the packages are found by name.
const folder = mkdtempSync(join(root, 'node_modules', '.examples-'))
afterAll(() => rmSync(folder, { recursive: true }))

const PAGES = ['docs/api.md', 'README.md', 'packages/decoder/README.md', 'packages/analysis/README.md']
/** A reader's own log, in the pages that come with a package: here a sample stands for it. */
const OWN_LOG = /'[\w-]+\.log'/g
const SAMPLE = "'sample-logs/blocked-oil-hose.log'"
/** Blocks that another test runs (the command's own tests), and blocks of what is typed or what a file holds. */
const NOT_RUN_HERE = ['console', 'sh', 'json', '']

const blocks = PAGES.flatMap((page) => {
  const text = readFileSync(join(root, page), 'utf8')
  return [...text.matchAll(/^```(.*)\n([\s\S]*?)^```/gm)].map(([, language, code], index) => ({
    ...{ page, language: language.trim(), code, number: index + 1 },
  }))
})
const examples = blocks.filter(({ language }) => language === 'js')

describe('examples', () => {
  test('are there', () => {
    expect(examples.filter(({ page }) => page === 'docs/api.md').length).toBeGreaterThanOrEqual(4)
    for (const page of PAGES) expect(blocks.filter((block) => block.page === page)).not.toEqual([])
  })

  test('are all run: a block of code in a form that is not (ts) would go stale unseen', () => {
    const others = blocks.filter(({ language }) => language !== 'js' && !NOT_RUN_HERE.includes(language))
    expect(others.map(({ page, language, number }) => `${page}, block ${number}: ${language}`)).toEqual([])
    expect(blocks.filter(({ language, code }) => language === '' && /^import /m.test(code))).toEqual([])
  })

  test.each(examples)('$page, number $number', async ({ page, number, code }) => {
    const file = join(folder, `${page.replaceAll(/\W/g, '-')}-${number}.mjs`)
    writeFileSync(file, code.replaceAll(OWN_LOG, SAMPLE))
    const { stdout, stderr } = await run(process.execPath, [file], { cwd: root })
    expect(stderr).toBe('')
    expect(stdout).not.toMatch(/NaN|undefined|null/)
    expect(stdout.trim()).not.toBe('')
  })

  test('stand strict TypeScript too', async () => {
    const types = join(folder, 'types')
    mkdirSync(types)
    for (const { page, number, code } of examples) {
      writeFileSync(join(types, `${page.replaceAll(/\W/g, '-')}-${number}.mts`), code)
    }
    const compilerOptions = {
      ...{ strict: true, noUncheckedIndexedAccess: true, exactOptionalPropertyTypes: true, verbatimModuleSyntax: true },
      ...{ module: 'nodenext', target: 'es2022', types: ['node'], noEmit: true },
    }
    writeFileSync(join(types, 'tsconfig.json'), JSON.stringify({ compilerOptions }))
    const compiler = join(root, 'node_modules', '.bin', 'tsc')
    // What is wrong goes to standard output.
    const { stdout } = await run(compiler, ['-p', types]).catch((error: { stdout: string }) => error)
    expect(stdout).toBe('')
  })
})
