/** Servers in processes of their own: started, written to, killed. */
import { type ChildProcessWithoutNullStreams, spawn } from 'node:child_process'
import { fileURLToPath } from 'node:url'
import type { ServerOptions } from '@firstcrank/server'

const CHILD = fileURLToPath(new URL('child.js', import.meta.url))

/** What a process says of itself. */
export interface Said {
  readonly port: number
  readonly sources: readonly string[]
  readonly error?: string
  readonly message?: string
}

/** A process that runs a server. */
export interface ServerProcess extends Said {
  readonly child: ChildProcessWithoutNullStreams
  /** Ends it as a person would, and waits. */
  stop(): Promise<number | null>
  /** Ends it as nobody should, and waits. */
  kill(): Promise<void>
}

/** Starts a server in a process; its standard input is a live source where the options say so. */
export async function startProcess(options: ServerOptions): Promise<ServerProcess> {
  const child = spawn(process.execPath, [CHILD, JSON.stringify(options)])
  const exit = new Promise<number | null>((resolve) => child.once('exit', resolve))
  child.stdin.on('error', () => undefined)
  let errors = ''
  child.stderr.on('data', (chunk) => {
    errors += chunk
  })
  const said = await new Promise<Said>((resolve, reject) => {
    let text = ''
    child.stdout.on('data', (chunk) => {
      text += chunk
      if (text.includes('\n')) resolve(JSON.parse(text.slice(0, text.indexOf('\n'))))
    })
    child.once('exit', () => reject(new Error(`the server said nothing: ${errors}`)))
  })
  return {
    ...said,
    child,
    stop: () => {
      child.kill('SIGTERM')
      return exit
    },
    kill: async () => {
      child.kill('SIGKILL')
      await exit
    },
  }
}
