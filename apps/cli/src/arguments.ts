/** The words of a command line → options and arguments; wrong ones are refused with what to do instead. */
import { parseArgs } from 'node:util'
import { CommandError } from './command-error.js'
import type { CommandDefinition } from './commands.js'
import { nearest } from './nearest.js'
import { OPTIONS, type OptionName, optionDefinition } from './options.js'

/** What somebody typed behind a command's name. */
export class Arguments {
  readonly command: CommandDefinition
  readonly positionals: readonly string[]
  readonly #values: ReadonlyMap<OptionName, readonly string[]>

  constructor(
    command: CommandDefinition,
    positionals: readonly string[],
    values: ReadonlyMap<OptionName, readonly string[]>,
  ) {
    this.command = command
    this.positionals = positionals
    this.#values = values
  }

  /** Whether an option was given. */
  has(name: OptionName): boolean {
    return this.#values.has(name)
  }

  /** The value of an option; undefined where it was not given. */
  text(name: OptionName): string | undefined {
    return this.#values.get(name)?.at(-1)
  }

  /** The values of an option that takes a list; undefined where it was not given. */
  texts(name: OptionName): readonly string[] | undefined {
    const parts = this.#values.get(name)?.flatMap((value) => value.split(',').map((part) => part.trim()))
    if (parts?.includes('')) throw new CommandError(2, `--${name} has an empty place in its list`)
    return parts
  }

  /**
   * The form of output asked for; the command's usual one where none was.
   *
   * @throws {CommandError} 2, where the command has no such form
   */
  format(): string {
    const { name, formats = [] } = this.command
    const format = this.text('format') ?? formats[0] ?? ''
    if (!formats.includes(format)) {
      throw new CommandError(2, `--format ${format}: ${name} writes ${formats.join(', ')}`)
    }
    return format
  }

  /**
   * The one argument of a command that reads a log.
   *
   * @throws {CommandError} 2, where there is none or more than one
   */
  logName(): string {
    const [log, second] = this.positionals
    const { name } = this.command
    if (!log) throw new CommandError(2, `${name} needs a log: the name of a file, or - for standard input`)
    if (second !== undefined) {
      throw new CommandError(2, `${name} reads one log at a time; "${second}" is one too many. Run it once for each`)
    }
    return log
  }
}

/**
 * Reads the words behind a command's name.
 *
 * @throws {CommandError} 2, where an option is unknown, lacks its value, or is given twice
 */
export function readArguments(command: CommandDefinition, words: readonly string[]): Arguments {
  const options = Object.fromEntries(
    Object.entries(OPTIONS).map(([name]) => {
      const { value } = optionDefinition(name as OptionName)
      return [name, { type: value === undefined ? ('boolean' as const) : ('string' as const), multiple: true }]
    }),
  )
  const { tokens } = parseArgs({
    args: [...words],
    options: { ...options, help: { type: 'boolean', short: 'h', multiple: true } },
    strict: false,
    allowPositionals: true,
    tokens: true,
  })
  const positionals: string[] = []
  const values = new Map<OptionName, string[]>()
  for (const token of tokens) {
    if (token.kind === 'positional') positionals.push(token.value)
    if (token.kind !== 'option') continue
    const name = knownOption(command, token.name, token.rawName)
    const { value: placeholder, list } = optionDefinition(name)
    checkValue(token.rawName, placeholder, token.value, token.inlineValue ?? false)
    const earlier = values.get(name)
    if (earlier !== undefined && !list) throw new CommandError(2, `${token.rawName} is given twice`)
    values.set(name, [...(earlier ?? []), token.value ?? ''])
  }
  return new Arguments(command, positionals, values)
}

function knownOption(command: CommandDefinition, name: string, rawName: string): OptionName {
  const allowed: readonly OptionName[] = [...command.options, 'help']
  const known = allowed.find((option) => option === name)
  if (known !== undefined) return known
  if (name in OPTIONS) {
    throw new CommandError(2, `${command.name} has no option ${rawName}; see: firstcrank help ${command.name}`)
  }
  const guess = nearest(name, allowed)
  const hint = guess === undefined ? '' : `; did you mean --${guess}?`
  throw new CommandError(2, `unknown option ${rawName}${hint || `; see: firstcrank help ${command.name}`}`)
}

/** A number below zero is a value; anything else with a hyphen in front is the next option. */
const OPTION_LIKE = /^-[^\d.]/

function checkValue(
  rawName: string,
  placeholder: string | undefined,
  value: string | undefined,
  isInline: boolean,
): void {
  if (placeholder === undefined) {
    if (value !== undefined) throw new CommandError(2, `${rawName} takes no value`)
  } else if (value === undefined || value === '' || (!isInline && OPTION_LIKE.test(value))) {
    throw new CommandError(2, `${rawName} needs a value: ${rawName} ${placeholder}`)
  }
}
