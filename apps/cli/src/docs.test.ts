/** The examples in the documentation show what the command really writes. */
import { existsSync, readFileSync } from 'node:fs'
import { fileURLToPath } from 'node:url'
import { PROBLEMS } from '@firstcrank/decoder'
import { describe, expect, test } from 'vitest'
import { capture } from './capture.js'
import { EXIT_CODES } from './command-error.js'

const root = fileURLToPath(new URL('../../../', import.meta.url))
const page = (name: string): string => readFileSync(`${root}${name}`, 'utf8')

const PAGES = ['docs/cli.md', 'README.md']
const examples = PAGES.flatMap((name) =>
  [...page(name).matchAll(/^```console\n\$ (?:npx )?firstcrank (.*)\n([\s\S]*?)^```/gm)].map(([, words, output]) => ({
    name,
    words,
    output,
  })),
)

/**
 * Numbers as `#`, runs of blanks and line ends as one blank: a sample log that is made anew moves times and
 * counts a little, and with them columns and line ends; words and their order it does not.
 */
const wordsOf = (text: string): string =>
  text
    .replaceAll(/\d+(?:[.,]\d+)*/g, '#')
    .replaceAll(/\s+/g, ' ')
    .trim()

/** An example as a pattern: `...` stands for anything. */
function patternOf(output: string): RegExp {
  const parts = output.split('...').map((part) => wordsOf(part).replaceAll(/[\\^$*+?.()[\]{}|]/g, '\\$&'))
  return new RegExp(`^${parts.join(' ?.*? ?')}$`)
}

describe('examples', () => {
  test('are there', () => {
    const commands = examples.map(({ words }) => words.split(' ')[0])
    expect(commands).toEqual(expect.arrayContaining(['summary', 'decode', 'faults', 'explain', 'simulate']))
    for (const name of PAGES) expect(examples.filter((example) => example.name === name)).not.toEqual([])
  })

  test.each(examples)('$name: firstcrank $words', async ({ words, output }) => {
    const argv = words.split(' ').map((word) => (word.startsWith('sample-logs/') ? `${root}${word}` : word))
    for (const file of argv.filter((word) => word.startsWith(root))) expect(existsSync(file)).toBe(true)
    const { stdout, stderr, exitCode } = await capture(argv)
    expect({ stderr, exitCode }).toEqual({ stderr: '', exitCode: 0 })
    expect(output).not.toBe('')
    expect(wordsOf(stdout)).toMatch(patternOf(output))
  })
})

test('docs/cli.md explains every exit code', () => {
  for (const [code, meaning] of Object.entries(EXIT_CODES))
    expect(page('docs/cli.md')).toContain(`| ${code} | ${meaning}`)
})

test('docs/formats.md explains every problem as the decoder does', () => {
  for (const { code, lost, meaning } of PROBLEMS) {
    expect(page('docs/formats.md')).toContain(`| \`${code}\` | ${lost ? 'lost' : 'gave a frame'} | ${meaning} |`)
  }
})

describe('docs/formats.md has the fields of', () => {
  const text = page('docs/formats.md')
  const section = (title: string): string => text.split(/^## /m).find((part) => part.startsWith(`${title}\n`)) ?? ''
  const log = `${root}sample-logs/blocked-oil-hose.log`

  test.each<[string, string[]]>([
    ['Faults as json', ['faults', log, '--format', 'json']],
    ['Summary as json', ['summary', log, '--format', 'json']],
  ])('%s, every one', async (title, argv) => {
    const report = JSON.parse((await capture(argv)).stdout)
    const inside = [report.episodes, report.nodes, report.groups, report.requests, report.busLoad].flatMap((list) =>
      Array.isArray(list) ? Object.keys(list[0] ?? {}) : [],
    )
    const missing = [...Object.keys(report), ...inside].filter((field) => !section(title).includes(`\`${field}\``))
    expect(missing).toEqual([])
  })
})
