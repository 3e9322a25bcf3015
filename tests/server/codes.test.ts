/** The codes of problems: what is documented, what is raised, and what is tested are the same. */
import { readdirSync, readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { PROBLEMS_BY_CODE } from '@firstcrank/feed'
import { describe, expect, test } from 'vitest'

const root = fileURLToPath(new URL('../../', import.meta.url))
const files = (folder: string): string[] =>
  readdirSync(root + folder, { recursive: true, encoding: 'utf8' })
    .filter((name) => /\.tsx?$/.test(name))
    .map((name) => `${folder}/${name}`)
const read = (path: string): string => readFileSync(root + path, 'utf8')

const sources = ['apps/server/src', 'apps/viewer/src', 'packages/feed/src'].flatMap(files)
const raising = sources
  .filter((path) => !path.includes('.test.') && !path.endsWith('/problem.ts'))
  .map(read)
  .join('\n')
const tests = [...sources.filter((path) => path.includes('.test.')), ...files('tests/server')]
  .filter((path) => !path.endsWith('codes.test.ts'))
  .map(read)
  .join('\n')
const page = read('docs/server.md')

/** Codes that a test knows by their status. */
const BY_STATUS: Readonly<Record<string, RegExp>> = {
  'too-many-requests': /toContain\('HTTP\/1\.1 429 '\)/,
  'feed-version': /toBe\(426\)/,
  'too-many-clients': /toBe\(503\)/,
}

describe.each(Object.entries(PROBLEMS_BY_CODE))('%s', (code, { status, title }) => {
  test('is documented as it is told', () => {
    expect(page).toContain(`| \`${code}\` | ${status} | ${title} |`)
  })

  test('is raised somewhere', () => {
    expect(raising).toContain(`'${code}'`)
  })

  test('is tested', () => {
    expect(tests).toMatch(BY_STATUS[code] ?? new RegExp(`'${code}'`))
  })
})

test('no other code is documented', () => {
  const section = page.slice(page.indexOf('## Problems'))
  const table = section.slice(0, section.indexOf('\n## ', 5))
  const documented = [...table.matchAll(/^\| `([a-z-]+)` \|/gm)].map(([, code]) => code)
  expect(new Set(documented)).toEqual(new Set(Object.keys(PROBLEMS_BY_CODE)))
})
