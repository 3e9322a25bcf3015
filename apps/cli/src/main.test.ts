import { closeSync, mkdtempSync, openSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { Readable, Writable } from 'node:stream'
import { afterAll, describe, expect, test } from 'vitest'
import { capture } from './capture.js'
import { EXIT_CODES } from './command-error.js'
import { COMMANDS } from './commands.js'
import { main } from './main.js'

const folder = mkdtempSync(join(tmpdir(), 'firstcrank-'))
afterAll(() => rmSync(folder, { recursive: true }))
const file = (name: string, text: string): string => {
  const path = join(folder, name)
  writeFileSync(path, text)
  return path
}

// Made up for these tests: a check of the form, not of any engine.
const LOG = '(1700000000.000000) can0 0CF00400#F07D7DD11200F47D\n'
const log = file('run.log', LOG)
const notJson = file('broken.json', '{"version": 1,')
const wrongDefinitions = file(
  'wrong.json',
  '{"version": 1, "source": "test", "groups": [{"pgn": 400000, "name": "X", "acronym": "X", "signals": []}]}',
)

test('a folder as standard input is refused as one that is named', async () => {
  const fd = openSync(folder, 'r')
  const written: string[] = []
  const sink = () =>
    new Writable({
      write(chunk, _encoding, done) {
        written.push(String(chunk))
        done()
      },
    })
  // What Node makes of a folder as standard input: a stream that ends at once, with the number of the folder.
  const stdin = Object.assign(Readable.from([]), { fd })
  expect(await main(['summary', '-'], { stdin, stdout: sink(), stderr: sink() })).toBe(3)
  closeSync(fd)
  expect(written).toEqual(['firstcrank: cannot read standard input: it is a folder, not a file\n'])
})

describe('wrong use is refused in one line that says what to do', () => {
  test.each<[string, string[], number, RegExp]>([
    ['unknown command', ['sumary', log], 2, /no command "sumary"; did you mean summary\?/],
    ['a log for a command', [log], 2, /is a log, not a command. Try: firstcrank summary /],
    ['nothing like a command', ['frobnicate'], 2, /there are summary, decode, .*simulate, serve, library/],
    ['option for a command', ['--spn', '190'], 2, /unknown option --spn; options stand behind a command/],
    ['unknown option', ['summary', log, '--formt', 'json'], 2, /unknown option --formt; did you mean --format\?/],
    ['option of another command', ['summary', log, '--spn', '190'], 2, /summary has no option --spn; see: firstcrank/],
    ['option without value', ['decode', log, '--spn'], 2, /--spn needs a value: --spn N/],
    ['option before option', ['decode', log, '--spn', '--pgn', '1'], 2, /--spn needs a value/],
    ['switch with a value', ['decode', log, '--deltas=yes'], 2, /--deltas takes no value/],
    ['given twice', ['decode', log, '--from', '1', '--from', '2'], 2, /--from is given twice/],
    ['empty place in a list', ['decode', log, '--spn', '190,,110'], 2, /--spn has an empty place/],
    ['no log', ['faults'], 2, /faults needs a log: the name of a file, or - for standard input/],
    ['two logs', ['summary', log, 'b.log'], 2, /reads one log at a time; "b.log" is one too many/],
    ['unknown form', ['decode', log, '--format', 'json'], 2, /--format json: decode writes table, csv, ndjson/],
    ['SPN that is none', ['decode', log, '--spn', 'rpm'], 2, /--spn rpm: a whole number from 0 to 524287 is needed/],
    ['SPN too high', ['decode', log, '--spn', '524288'], 2, /from 0 to 524287/],
    ['PGN in bare hexadecimal', ['decode', log, '--pgn', 'F004'], 2, /did you mean 0xF004\?/],
    ['address too high', ['decode', log, '--sa', '256'], 2, /--sa 256: a whole number from 0 to 255/],
    ['time that is none', ['decode', log, '--from', 'noon'], 2, /--from noon: give seconds after the first frame/],
    ['times the wrong way round', ['decode', log, '--from', '9', '--to', '5'], 2, /--from 9 is later than --to 5/],
    ['bit rate in kbit/s', ['summary', log, '--bit-rate', '250'], 2, /--bit-rate 250: bits per second are needed/],
    ['contradiction', ['faults', log, '--deltas', '--absolute'], 2, /--deltas and --absolute contradict each other/],
    ['nothing to explain', ['explain'], 2, /explain needs something to explain/],
    ['two things to explain', ['explain', '--spn', '1', '--pgn', '2'], 2, /one of these at a time/],
    ['11-bit identifier', ['explain', '7DF'], 2, /7DF is an 11-bit identifier; J1939 uses 29 bits/],
    ['identifier too high', ['explain', '3FEEE000'], 2, /more than the 29 bits/],
    ['identifier that is none', ['explain', 'EEC1x'], 2, /"EEC1x" is no identifier/],
    ['half a byte', ['explain', '18FEEE00', '7D6'], 2, /end in the middle of a byte: of 3 hexadecimal digits/],
    ['data that are none', ['explain', '18FEEE00', '7G'], 2, /"7G" is no data/],
    ['no scenario', ['simulate'], 2, /simulate needs a scenario; see: firstcrank simulate --list/],
    ['no output', ['simulate', 'clean-first-start'], 2, /simulate needs --out FILE/],
    ['unknown scenario', ['simulate', 'nowhere', '--out', '-'], 2, /see: firstcrank simulate --list/],
    ['seed that is none', ['simulate', 'clean-first-start', '--out', '-', '--seed', 'x'], 2, /--seed x: a number/],
    ['help on two commands', ['help', 'summary', 'decode'], 2, /one command at a time/],
    ['a name that is empty', ['summary', ''], 2, /summary needs a log: the name of a file/],
    ['missing file', ['summary', join(folder, 'none.log')], 3, /cannot read .*none\.log: there is no such file/],
    ['folder', ['summary', folder], 3, /cannot read .*: it is a folder, not a file/],
    ['missing definitions', ['summary', log, '--definitions', '/none'], 3, /--definitions \/none: cannot read it/],
    ['definitions that are no JSON', ['summary', log, '--definitions', notJson], 4, /cannot be used:\n {2}not JSON/],
    [
      'wrong definitions',
      ['decode', log, '--definitions', wrongDefinitions],
      4,
      /cannot be used:\n {2}groups\[0\]\.pgn/,
    ],
    [
      'output that cannot be written',
      ['simulate', 'clean-first-start', '--out', folder],
      1,
      /--out .*: cannot write it/,
    ],
    [
      'output into a folder that is not there',
      ['simulate', 'clean-first-start', '--out', join(folder, 'none', 'run.log')],
      1,
      /--out .*run\.log: cannot write it: there is no such folder$/m,
    ],
    [
      'truth into a folder that is not there',
      ['simulate', 'clean-first-start', '--out', '-', '--duration', '1', '--truth', join(folder, 'none', 'run.json')],
      1,
      /--truth .*run\.json: cannot write it: there is no such folder$/m,
    ],
  ])('%s', async (_name, argv, exitCode, complaint) => {
    const result = await capture(argv)
    expect(result.stderr).toMatch(/^firstcrank: /)
    expect(result.stderr).toMatch(complaint)
    // Only the mistakes of a definition file take more lines, one each, indented.
    expect(result.stderr.replaceAll(/\n {2}.*/g, '')).toMatch(/^[^\n]+\n$/)
    expect(result.stderr).not.toMatch(/\bat .*:\d+:\d+/)
    expect(result.exitCode).toBe(exitCode)
  })
})

describe('exit codes', () => {
  test('0 where everything went well', async () => {
    expect(await capture(['summary', log])).toMatchObject({ exitCode: 0, stderr: '' })
  })

  test('are all explained in the help', async () => {
    const { stdout } = await capture(['--help'])
    for (const [code, meaning] of Object.entries(EXIT_CODES)) expect(stdout).toContain(`  ${code}  ${meaning}`)
  })

  test('1, and one line, for what nobody has foreseen', async () => {
    const complaints: string[] = []
    const stderr = new Writable({
      write(chunk: Buffer, _encoding, done) {
        complaints.push(chunk.toString())
        done()
      },
    })
    const stdout = new Writable()
    stdout.write = () => {
      throw new TypeError('gears is not a function\n    at gearbox (gearbox.js:1:1)')
    }
    expect(await main(['--version'], { stdin: Readable.from([]), stdout, stderr })).toBe(1)
    expect(complaints.join('')).toBe(
      'firstcrank: a mistake in firstcrank itself, please report it: TypeError: gears is not a function\n',
    )
  })

  test('3, and one line, for standard input that breaks', async () => {
    const broken = new Readable({
      read() {
        this.destroy(new Error('the cable is on fire'))
      },
    })
    const into: string[] = []
    const sink = () =>
      new Writable({
        write(chunk: Buffer, _encoding, done) {
          into.push(chunk.toString())
          done()
        },
      })
    const exitCode = await main(['summary', '-'], { stdin: broken, stdout: sink(), stderr: sink() })
    expect(exitCode).toBe(3)
    expect(into.join('')).toMatch(/^firstcrank: cannot read standard input: .*the cable is on fire\n$/)
  })
})

describe('a reader that goes away', () => {
  const closing = (code: string) =>
    new Writable({
      write(_chunk, _encoding, done) {
        done(Object.assign(new Error(code), { code }))
      },
    })

  test.each(['EPIPE', 'ERR_STREAM_DESTROYED'])('ends the command quietly: %s', async (code) => {
    const complaints: string[] = []
    const stderr = new Writable({
      write(chunk: Buffer, _encoding, done) {
        complaints.push(chunk.toString())
        done()
      },
    })
    const io = { stdin: Readable.from([Buffer.from(LOG)]), stdout: closing(code), stderr }
    expect(await main(['decode', '-', '--format', 'ndjson'], io)).toBe(0)
    expect(complaints).toEqual([])
  })

  test('stops the reading as well', async () => {
    let given = 0
    const endless = {
      async *[Symbol.asyncIterator]() {
        for (; given < 1000; given++) yield Buffer.from(LOG.repeat(2000))
      },
    }
    const stderr = new Writable({ write: (_chunk, _encoding, done) => done() })
    expect(await main(['decode', '-'], { stdin: endless, stdout: closing('EPIPE'), stderr })).toBe(0)
    expect(given).toBeLessThan(5)
  })

  test('a full disk is a failure, and says so', async () => {
    const complaints: string[] = []
    const stderr = new Writable({
      write(chunk: Buffer, _encoding, done) {
        complaints.push(chunk.toString())
        done()
      },
    })
    const io = { stdin: Readable.from([Buffer.from(LOG)]), stdout: closing('ENOSPC'), stderr }
    expect(await main(['decode', '-'], io)).toBe(1)
    expect(complaints.join('')).toBe('firstcrank: cannot write the output: the disk is full\n')
  })
})

describe('help', () => {
  test('without a word is short, and names every command', async () => {
    const { stdout, exitCode } = await capture([])
    expect(exitCode).toBe(0)
    expect(stdout.split('\n').length).toBeLessThan(20)
    for (const { name } of COMMANDS) expect(stdout).toMatch(new RegExp(`^ {2}${name} `, 'm'))
  })

  test.each(COMMANDS.map(({ name }) => [name]))(
    'of %s is the same both ways, and no line is too long',
    async (name) => {
      const one = await capture(['help', name])
      expect(one).toEqual(await capture([name, '--help']))
      expect(one).toEqual(await capture([name, '-h']))
      expect(one.exitCode).toBe(0)
      for (const line of one.stdout.split('\n')) expect(line.length).toBeLessThanOrEqual(110)
    },
  )

  test('gives the version of the package', async () => {
    const { version } = JSON.parse(readFileSync(new URL('../package.json', import.meta.url), 'utf8'))
    expect((await capture(['--version'])).stdout).toBe(`firstcrank ${version}\n`)
  })
})
