/** The command with its output kept: for tests, and for programs that call it without a terminal. */
import { Readable, Writable } from 'node:stream'
import type { ExitCode } from './command-error.js'
import { main } from './main.js'

/** How a command ended and what it wrote. */
export interface Captured {
  readonly exitCode: ExitCode
  readonly stdout: string
  readonly stderr: string
}

/**
 * Runs the command.
 *
 * @param argv the words behind `firstcrank`
 * @param input what standard input holds
 */
export async function capture(argv: readonly string[], input: string | Uint8Array = ''): Promise<Captured> {
  const written = { stdout: [] as Buffer[], stderr: [] as Buffer[] }
  const keep = (chunks: Buffer[]): Writable =>
    new Writable({
      write(chunk: Buffer, _encoding, done) {
        // The writer uses its memory again.
        chunks.push(Buffer.from(chunk))
        done()
      },
    })
  const io = {
    stdin: Readable.from([typeof input === 'string' ? Buffer.from(input) : input]),
    stdout: keep(written.stdout),
    stderr: keep(written.stderr),
  }
  const exitCode = await main(argv, io)
  return {
    exitCode,
    stdout: Buffer.concat(written.stdout).toString(),
    stderr: Buffer.concat(written.stderr).toString(),
  }
}
