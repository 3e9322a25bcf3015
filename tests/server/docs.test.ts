/** What the documentation says of the server is there: routes, metrics, and the test that shows each defence. */
import { readdirSync, readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import { ask, serve, undoAll } from './support.js'

const root = fileURLToPath(new URL('../../', import.meta.url))
const read = (path: string): string => readFileSync(root + path, 'utf8')
const server = read('docs/server.md')

let port: number
beforeAll(async () => {
  ;({ port } = await serve())
})
afterAll(undoAll)

test('docs/server.md names every route, or the form of it', async () => {
  const { paths } = (await ask(port, '/openapi.json')).json as { paths: Record<string, object> }
  // `report.html` beside `report`, `.ndjson` beside `values.csv`.
  const namesOf = (path: string): string[] => [path, path.replace(/.*\//, ''), path.replace(/.*\./, '.')]
  const missing = Object.keys(paths).filter(
    (path) => !namesOf(path).some((name) => ['`', '?'].some((end) => server.includes(name + end))),
  )
  expect(Object.keys(paths).length).toBeGreaterThan(20)
  expect(missing).toEqual([])
})

test('docs/server.md explains every metric as the server does', async () => {
  const { text } = await ask(port, '/metrics')
  const kinds = [...text.matchAll(/^# TYPE (\w+) (\w+)\n# HELP \w+ (.+)$/gm)]
  expect(kinds.length).toBeGreaterThan(10)
  for (const [, name, kind, help] of kinds) expect(server).toContain(`| \`${name}\` | ${kind} | ${help} |`)
})

describe('docs/safety.md', () => {
  const table = read('docs/safety.md').split('| threat | defence | test |')[1] as string
  const rows = table
    .split('\n\n')[0]
    ?.split('\n')
    .filter((row) => row.startsWith('| ') && !row.startsWith('| ---'))
    .map((row) => row.slice(2, -2).split(' | ')) as string[][]
  const files = ['tests/server', 'apps/server/src'].flatMap((folder) =>
    readdirSync(root + folder, { recursive: true, encoding: 'utf8' })
      .filter((name) => name.endsWith('.test.ts'))
      .map((name) => `${folder}/${name}`),
  )

  test('has a table', () => {
    expect(rows.length).toBeGreaterThan(15)
  })

  test.each(rows)('%s: the tests it names are there', (_threat, _defence, tests = '') => {
    const named = [...tests.matchAll(/`([\w/-]+\.test\.ts)`(?:: ([^`]+))?/g)]
    expect(named.length).toBeGreaterThan(0)
    for (const [, name = '', words = ''] of named) {
      const path = files.find((file) => file.endsWith(`/${name}`))
      expect(path, name).toBeDefined()
      const text = read(path as string)
      for (const phrase of words.split('; ').map((part) => part.replace(/;\s*$/, ''))) {
        expect(text, `${name}: ${phrase}`).toContain(phrase)
      }
    }
  })
})
