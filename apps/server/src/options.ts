/** How a server is set up. */
import { existsSync } from 'node:fs'
import { homedir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import type { GroupDefinition } from '@firstcrank/decoder'
import type { Logger } from 'pino'
import type { LiveLimits } from './live/live-recording.js'
import type { RecorderOptions } from './live/recorder.js'
import type { Notice } from './notice.js'
import type { Source } from './sources/source.js'

/** A live source to be opened at start. */
export interface LiveOption {
  /** `-` for standard input, `tcp://host:port`, `tcp-listen://host:port`, or a file that grows. */
  readonly source: string | Source
  /** Whether it is recorded. Default: yes, but for a file, which is a recording already. */
  readonly record?: boolean
}

export interface ServerOptions {
  /** Folder of the library. */
  readonly library: string
  /** Logs and folders of logs that are shown from where they are, and never changed. */
  readonly outside?: readonly string[]
  /** Default 127.0.0.1; with {@link lan} every address. */
  readonly host?: string
  /** Default {@link DEFAULT_PORT}, or one of the next where that is taken; 0 lets the system choose. */
  readonly port?: number
  /** Whether other devices on the network may connect, once they are paired. */
  readonly lan?: boolean
  /** Further host names the server answers to, such as that of a proxy. */
  readonly allowHosts?: readonly string[]
  readonly live?: readonly LiveOption[]
  /** A person's own definitions, which come before the built-in ones. */
  readonly definitions?: readonly GroupDefinition[]
  /** Folder of the built viewer. */
  readonly viewer?: string
  /** Bytes of recordings held in memory. */
  readonly memory?: number
  /** Threads that hold recordings. */
  readonly threads?: number
  /** Bytes an upload may have, and unpack to. */
  readonly maxUpload?: number
  readonly maxUnpacked?: number
  /** Clients of the feed. */
  readonly maxClients?: number
  readonly liveLimits?: LiveLimits
  readonly recorder?: Pick<RecorderOptions, 'syncEvery' | 'rotateAt' | 'openFile'>
  readonly log?: Logger
  /** Told each pairing code, to be shown where only the owner sees it. */
  readonly onCode?: (code: string) => void
  readonly onNotice?: Notice
}

/** Defaults, all our own choice. */
export const DEFAULT_PORT = 8321
/** Ports tried from there on where nobody asked for one. */
export const PORTS_TRIED = 10
export const DEFAULTS = {
  memory: 1024 * 2 ** 20,
  threads: 1,
  maxUpload: 2 * 2 ** 30,
  maxUnpacked: 8 * 2 ** 30,
  maxClients: 256,
} as const

/** Folder of the viewer as this repository builds it; undefined where it has not been built. */
export function builtViewer(): string | undefined {
  const folder = fileURLToPath(new URL('../../viewer/dist/', import.meta.url))
  return existsSync(join(folder, 'index.html')) ? folder : undefined
}

/** Where the library is when nobody says: the data folder of the user, as freedesktop.org's base directories have it. */
export function defaultLibrary(environment: NodeJS.ProcessEnv = process.env): string {
  const data = environment['XDG_DATA_HOME'] || join(homedir(), '.local', 'share')
  return join(data, 'firstcrank')
}
