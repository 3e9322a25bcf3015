/** What the routes work with. */
import type { Health, ServerInfo } from '@firstcrank/feed'
import type { Logger } from 'pino'
import type { FeedHub } from '../feed/hub.js'
import type { Library } from '../library/library.js'
import type { Sessions } from '../live/sessions.js'
import type { Metrics } from '../metrics.js'
import type { ThreadPool } from '../workers/pool.js'
import type { Pairing } from './pairing.js'

export interface Context {
  readonly info: ServerInfo
  readonly log: Logger
  readonly metrics: Metrics
  readonly library: Library
  readonly threads: ThreadPool
  readonly sessions: Sessions
  readonly hub: FeedHub
  readonly pairing: Pairing
  /** The report on a run, in JSON. @throws {FeedError} */
  readonly report: (run: string) => Promise<string>
  readonly isStopping: () => boolean
  readonly health: () => Health
  /** Brings levels up to date before they are told. */
  readonly measure: () => Promise<void>
}
