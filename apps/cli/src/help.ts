/** Help, written from the tables of commands and options. */
import { EXIT_CODES } from './command-error.js'
import { COMMANDS, type CommandDefinition } from './commands.js'
import { type OptionName, optionDefinition } from './options.js'
import { pad, wrap } from './text.js'

/** What `firstcrank` alone says. */
export function shortHelp(): string[] {
  return [
    'firstcrank reads a recording of a J1939 bus (candump text, plain or gzip) and tells what is in it.',
    '',
    ...commandList(),
    '',
    'Begin with: firstcrank summary run.log',
    'More: firstcrank --help, firstcrank help COMMAND',
  ]
}

/** What `firstcrank --help` says. */
export function fullHelp(): string[] {
  return [
    'firstcrank reads a recording of a J1939 bus (candump text, plain or gzip) and tells what is in it.',
    'It only listens: nothing in it can send a frame.',
    '',
    'firstcrank COMMAND ...',
    '',
    ...commandList(),
    '',
    '  firstcrank help COMMAND   the options of a command, with examples; COMMAND --help does the same',
    '  firstcrank --version      the version',
    '',
    'A LOG is the name of a file; - is standard input. PGN, SPN and address are decimal, or 0x and hexadecimal.',
    '',
    'Examples',
    ...COMMANDS.flatMap(({ examples }) => examples.slice(0, 1).map(exampleLine)),
    '',
    'Exit codes',
    ...Object.entries(EXIT_CODES).map(([code, meaning]) => `  ${code}  ${meaning}`),
  ]
}

/** What `firstcrank help COMMAND` says. */
export function commandHelp(command: CommandDefinition): string[] {
  return [
    `firstcrank ${command.name} ${command.takes}${command.options.length > 0 ? ' [options]' : ''}`,
    '',
    ...wrap(command.details),
    '',
    'Options',
    ...[...command.options, 'help' as const].flatMap((name) => optionLines(name, command)),
    '',
    'Examples',
    ...command.examples.map(exampleLine),
  ]
}

const WIDEST_COMMAND = 10
const WIDEST_OPTION = 22

function commandList(): string[] {
  return COMMANDS.map(({ name, purpose }) => `  ${pad(name, WIDEST_COMMAND)}${purpose}`)
}

function optionLines(name: OptionName, command: CommandDefinition): string[] {
  const { value, help } = optionDefinition(name)
  const label = `  --${name}${value === undefined ? '' : ` ${value}`}`
  const text = name === 'format' ? `${help}: ${choices(command.formats ?? [])}` : help
  const lines = wrap(text, ' '.repeat(WIDEST_OPTION))
  return lines.map((line, at) => (at === 0 ? pad(label, WIDEST_OPTION) + line.slice(WIDEST_OPTION) : line))
}

function choices([usual = '', ...others]: readonly string[]): string {
  return [`${usual} (where not given)`, ...others].join(', ')
}

/** Examples that begin with another command are shown as they are. */
function exampleLine(example: string): string {
  return example.includes('firstcrank') && !COMMANDS.some(({ name }) => example.startsWith(`${name} `))
    ? `  ${example}`
    : `  firstcrank ${example}`
}
