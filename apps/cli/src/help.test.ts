import { existsSync, readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { COMMANDS } from './commands.js'
import { commandHelp, fullHelp } from './help.js'
import { OPTIONS } from './options.js'

/** Options named in a text, without those of other programs. */
const optionsIn = (text: string): string[] => [
  ...new Set([...text.matchAll(/(?<![\w-])--([a-z][a-z-]*)/g)].map(([, name]) => name)),
]

describe.each(COMMANDS)('help of $name', (command) => {
  const help = commandHelp(command).join('\n')
  const listed = [...help.matchAll(/^ {2}--([a-z-]+)/gm)].map(([, name]) => name)

  test('lists its options, each once, and no other', () => {
    expect(listed).toEqual([...command.options, 'help'])
  })

  test('shows only options it lists in its examples', () => {
    expect(optionsIn(command.examples.filter((line) => line.startsWith(command.name)).join('\n'))).toSatisfy(
      (names: string[]) => names.every((name) => listed.includes(name)),
    )
    expect(command.examples.length).toBeGreaterThan(0)
  })

  test('names the forms of output where there is a choice', () => {
    expect(command.options.includes('format')).toBe(command.formats !== undefined)
    for (const format of command.formats ?? []) expect(help).toContain(format)
  })
})

test('every option belongs to a command', () => {
  const used = new Set(COMMANDS.flatMap(({ options }) => options))
  expect(Object.keys(OPTIONS).filter((name) => name !== 'help' && !used.has(name as never))).toEqual([])
})

const page = new URL('../../../docs/cli.md', import.meta.url)

describe.runIf(existsSync(page))('docs/cli.md', () => {
  const text = existsSync(page) ? readFileSync(page, 'utf8') : ''

  test.each(COMMANDS)('documents the options of $name, and no other', ({ name, options }) => {
    const section = text.split(/^## /m).find((part) => part.startsWith(`${name}\n`)) ?? ''
    const documented = [...section.matchAll(/^\| `--([a-z-]+)/gm)].map(([, option]) => option)
    expect(new Set(documented)).toEqual(new Set(options))
    expect(documented).toHaveLength(options.length)
  })

  test('names only options there are', () => {
    const known = [...Object.keys(OPTIONS), 'version']
    expect(optionsIn(text).filter((name) => !known.includes(name))).toEqual([])
  })
})

test('the full help names no option that is not there', () => {
  expect(optionsIn(fullHelp().join('\n')).filter((name) => !(name in OPTIONS) && name !== 'version')).toEqual([])
})
