/** What the threads are told. */
import type { GroupDefinition } from '@firstcrank/decoder'

/** What a thread is told when it starts. */
export interface ThreadSettings {
  /** Bytes of recordings it may hold. */
  readonly memory: number
  /** A person's own definitions. */
  readonly definitions: readonly GroupDefinition[]
}

/** Which log is meant. */
export interface LogPlace {
  readonly run: string
  readonly path: string
  /** Name to give it in reports. */
  readonly name: string
  /** Engine profile; null for the defaults. */
  readonly profile: unknown
}

/** Bytes of memory for a byte of log: 17 a frame, of lines of 43 bytes and more. */
export const MEMORY_SHARE = 0.4
/** Bytes that even an empty recording takes: tables of the reader and of its first batch. Measured, rounded up. */
export const RECORDING_BYTES = 200_000
