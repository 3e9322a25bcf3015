/** The commands: their arguments, options and examples. The code behind each is loaded when it is called. */
import type { Arguments } from './arguments.js'
import type { OptionName } from './options.js'
import type { Io, Output } from './output.js'

/** What runs a command. Text added to the output is written when it returns. */
export type RunCommand = (args: Arguments, io: Io, output: Output) => Promise<void>

/** A command. */
export interface CommandDefinition {
  readonly name: string
  /** What stands behind the name, in the help's notation. */
  readonly takes: string
  /** One line for the list of commands. */
  readonly purpose: string
  readonly details: string
  /** Forms of output, the usual one first. */
  readonly formats?: readonly string[]
  readonly options: readonly OptionName[]
  readonly examples: readonly string[]
  readonly load: () => Promise<RunCommand>
}

const READING: readonly OptionName[] = ['definitions', 'deltas', 'absolute']

/** All commands, in the order of the help. */
export const COMMANDS: readonly CommandDefinition[] = [
  {
    name: 'summary',
    takes: 'LOG',
    purpose: 'what is in a log: is it J1939, how long, which nodes, any fault',
    details:
      'Frames of each kind, lines that could not be read, the clock, the load of the bus, multi-packet messages, requests, faults in one line each, and every node with the groups it sends, their periods and gaps.',
    formats: ['text', 'json'],
    options: ['format', 'bit-rate', ...READING],
    examples: ['summary run.log', 'summary run.log.gz --bit-rate 500000', 'candump -L can0 | firstcrank summary -'],
    load: async () => (await import('./summary.js')).summary,
  },
  {
    name: 'decode',
    takes: 'LOG',
    purpose: 'the values, or the bytes: as a table, as CSV, or as one JSON object a line',
    details:
      'Every value of every group that has a definition, in the order the messages were complete. A value that is not valid (error, not available) is never shown as a number. With --messages one line for each message, defined or not, with its bytes. Filters narrow it down; all of them hold together.',
    formats: ['table', 'csv', 'ndjson'],
    options: ['format', 'messages', 'spn', 'pgn', 'sa', 'channel', 'from', 'to', ...READING],
    examples: [
      'decode run.log --spn 190,110',
      'decode run.log --pgn 65262,65263 --sa 0 --from 30 --to 90',
      'decode run.log --spn 100 --format csv > oil-pressure.csv',
      'decode run.log --format ndjson | head',
      'decode run.log --messages --pgn 0xFF21',
    ],
    load: async () => (await import('./decode.js')).decode,
  },
  {
    name: 'faults',
    takes: 'LOG',
    purpose: 'every fault: first and last seen, cleared or still active, in plain words',
    details:
      'One entry for each stretch in which a node listed a fault. A message that repeats the list is not a new occurrence; only the count the node itself sends is shown as one. Freeze frames, readiness and what else nodes said in diagnostic messages stand below.',
    formats: ['text', 'json'],
    options: ['format', ...READING],
    examples: ['faults run.log', 'faults run.log --format json'],
    load: async () => (await import('./faults.js')).faults,
  },
  {
    name: 'check',
    takes: 'LOG',
    purpose: 'was it a good start, what is wrong, what to check first, what could not be judged',
    details:
      'Judges the start and the run: phases, acceptance checks, the bus, probable causes of faults with what to do in order, and what has to be looked at by hand. What had no signal is not judged and is said so. The engine maker’s figures, in a profile, come before the defaults.',
    formats: ['text', 'json', 'html', 'md'],
    options: ['format', 'profile', 'units', 'fail-on', 'definitions', 'bit-rate', 'deltas', 'absolute'],
    examples: [
      'check run.log',
      'check run.log --profile engine.json --format html > run.html',
      'check run.log --fail-on fail',
    ],
    load: async () => (await import('./check.js')).check,
  },
  {
    name: 'compare',
    takes: 'BEFORE AFTER',
    purpose: 'did the fix work: two runs of one vehicle, and how far they prove it',
    details:
      'What became of each fault, whether the later run gave it the chance to come again, and how sure that makes the repair: proved by direct evidence, supported, not proved, not tested, or came back. A fault that was not seen is not a fault that was fixed. Then vitals in the same operating cells, and what else changed.',
    formats: ['text', 'json', 'html', 'md'],
    options: ['format', 'same-vehicle', 'profile', 'units', 'definitions', 'bit-rate', 'deltas', 'absolute'],
    examples: ['compare before.log after.log', 'compare before.log after.log --format html > repair.html'],
    load: async () => (await import('./compare.js')).compare,
  },
  {
    name: 'history',
    takes: 'FOLDER | LOG...',
    purpose: 'many runs of one vehicle: faults by run, trends of key figures',
    details:
      'The logs of a folder, or those named, in order of time: which fault was listed in which run, how key figures went, and which notes of work lie between. Notes are a JSON list of objects with "at", a date and time, and "text".',
    formats: ['text', 'json', 'html', 'md'],
    options: ['format', 'notes', 'profile', 'units', 'definitions', 'bit-rate', 'deltas', 'absolute'],
    examples: ['history runs/', 'history runs/ --notes work.json --format md'],
    load: async () => (await import('./history.js')).history,
  },
  {
    name: 'profile',
    takes: '',
    purpose: 'a template for an engine’s own figures, or a check of one that is filled in',
    details:
      'Without options it writes a template with comments: size, idle speed, what is fitted, where the engine stands, and every limit by name. Fill in what is known and delete the rest; then give the file to check with --profile.',
    options: ['check'],
    examples: ['profile > engine.json', 'profile --check engine.json'],
    load: async () => (await import('./profile.js')).profile,
  },
  {
    name: 'explain',
    takes: 'ID [DATA] | --spn N | --pgn N',
    purpose: 'one frame taken apart bit by bit, or a definition and who says so',
    details:
      'ID is a 29-bit identifier in hexadecimal, DATA its bytes, with or without blanks; ID#DATA works too. More than 8 bytes are taken as a multi-packet message put together. With --spn or --pgn: what the catalogue says, its sources, and how sure it is.',
    formats: ['text', 'json'],
    options: ['format', 'spn', 'pgn', 'definitions'],
    examples: [
      'explain 0CF00400 FFFFFF6813FFFFFF',
      'explain "18FEEE00#7D 6E FF FF FF FF FF FF"',
      'explain --spn 190',
      'explain --pgn 61444',
    ],
    load: async () => (await import('./explain.js')).explain,
  },
  {
    name: 'simulate',
    takes: 'SCENARIO | --list',
    purpose: 'make a log of an invented engine, healthy or broken',
    details:
      'The same scenario, seed and options give the same log, byte for byte. The engine is invented; so is everything in the log.',
    options: ['list', 'seed', 'out', 'truth', 'ambient', 'altitude', 'severity', 'duration'],
    examples: [
      'simulate --list',
      'simulate clean-first-start --seed 7 --out run.log --truth run.json',
      'simulate clean-first-start --out - | firstcrank faults -',
    ],
    load: async () => (await import('./simulate.js')).simulateScenario,
  },
  {
    name: 'serve',
    takes: '[LOG or FOLDER ...]',
    purpose: 'the viewer in a browser: your runs, live buses, replays',
    details:
      'Starts a server for this machine, and with --lan for paired devices on the network. It keeps a library: a folder of logs, with what you write to them. A LOG or FOLDER is shown from where it is and never changed. What comes in live is recorded to the library. It reads only: nothing in it can send a frame.',
    options: [
      'library',
      'live',
      'no-record',
      'sync-every',
      'port',
      'open',
      'lan',
      'allow-host',
      'definitions',
      'memory',
      'max-upload',
      'log',
    ],
    examples: [
      'serve',
      'serve run.log --port 8400',
      'serve --lan',
      'candump -L can0 | firstcrank serve --live -',
      'serve --live tcp://127.0.0.1:29536',
    ],
    load: async () => (await import('./serve.js')).serve,
  },
  {
    name: 'library',
    takes: 'backup FOLDER | restore FOLDER',
    purpose: 'copy the library of runs to a folder, or back',
    details:
      'A backup is a folder with the database and the logs; a server may be running meanwhile, and a backup into the same folder again copies only what is new. Restoring needs a library without runs. Logs that are shown from elsewhere are not copied.',
    options: ['library'],
    examples: ['library backup /media/stick/firstcrank', 'library restore /media/stick/firstcrank'],
    load: async () => (await import('./library.js')).library,
  },
]

/** The command of a name. */
export function findCommand(name: string): CommandDefinition | undefined {
  return COMMANDS.find((command) => command.name === name)
}
