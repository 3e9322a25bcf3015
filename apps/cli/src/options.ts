/** Every option of the command, in one place: what it takes and what it does. Help and docs follow it. */

/** An option. */
export interface OptionDefinition {
  /** What its value is called in the help; none for a switch. */
  readonly value?: string
  readonly help: string
  /** Whether it takes a list: values with commas between them, or the option more than once. */
  readonly list?: boolean
}

/** Options by name, without the two hyphens. `format` lists the choices of each command itself. */
export const OPTIONS = {
  format: { value: 'FORM', help: 'form of the output' },
  definitions: {
    value: 'FILE',
    help: 'your own parameter groups, a JSON file; they come before the built-in ones',
  },
  'bit-rate': {
    value: 'N',
    help: 'bits per second of the bus, for its load: 250000 or 500000',
  },
  deltas: { help: 'each time in the log is the difference from the line before (else found out)' },
  absolute: { help: 'times in the log are not differences (else found out)' },
  spn: { value: 'N', list: true, help: 'only these suspect parameters; several with commas' },
  messages: { help: 'the messages as they came, with their bytes, in place of their values' },
  pgn: { value: 'N', list: true, help: 'only these parameter groups; 61444 or 0xF004' },
  sa: { value: 'N', list: true, help: 'only from these source addresses; 0 or 0x00' },
  channel: { value: 'NAME', list: true, help: 'only from these interfaces' },
  from: { value: 'TIME', help: 'only from this time on: seconds after the first frame, or absolute' },
  to: { value: 'TIME', help: 'only up to this time' },
  profile: { value: 'FILE', help: "an engine profile: its maker's figures come before the defaults" },
  units: { value: 'UNITS', help: 'metric or us; as the profile says, else metric' },
  'fail-on': { value: 'LEVEL', help: 'end with exit code 5 where this was found, or worse: caution or fail' },
  'same-vehicle': { help: 'you vouch that both runs are of one vehicle, where the bus cannot say' },
  notes: { value: 'FILE', help: 'what was done and when, a JSON file' },
  check: { value: 'FILE', help: 'say whether this profile can be used' },
  list: { help: 'list the scenarios' },
  seed: { value: 'N', help: 'decides every chance event; 1 where not given' },
  out: { value: 'FILE', help: 'where the log goes; - is standard output' },
  truth: { value: 'FILE', help: 'write what was injected and when, as JSON' },
  ambient: { value: 'N', help: 'air temperature in °C' },
  altitude: { value: 'N', help: 'height above the sea in m' },
  severity: { value: 'N', help: 'how far what is wrong is from healthy; 1 is as the scenario has it' },
  duration: { value: 'N', help: 'stop the recording after so many seconds' },
  library: { value: 'FOLDER', help: "folder of the library of runs; in the user's data folder where not given" },
  port: { value: 'N', help: 'port to listen on; 8321 or the next free one where not given, 0 for any that is free' },
  open: { help: 'open the browser, where there is a screen and a person at the terminal' },
  lan: { help: 'let other devices on the network in, once they are paired with the code that is shown' },
  'allow-host': { value: 'NAME', list: true, help: 'another host name to answer to, such as that of a proxy' },
  live: {
    value: 'SOURCE',
    list: true,
    help: 'a live bus: - is standard input, tcp://HOST:PORT, tcp-listen://HOST:PORT, or a file that grows',
  },
  'no-record': { help: 'do not write what comes in live to the library' },
  'sync-every': {
    value: 'S',
    help: 'seconds after which what is recorded is safe from a power cut; 1 where not given',
  },
  memory: { value: 'MB', help: 'memory for recordings that are open; 1024 where not given' },
  'max-upload': { value: 'MB', help: 'largest upload; 2048 where not given' },
  log: { value: 'LEVEL', help: 'what goes to standard error, as JSON: debug, info, warn (where not given), error' },
  help: { help: 'this help' },
} as const

export type OptionName = keyof typeof OPTIONS

/** The definition of an option, with all its fields. */
export function optionDefinition(name: OptionName): OptionDefinition {
  return OPTIONS[name]
}
