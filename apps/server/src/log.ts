/** Structured logs: one JSON object a line. */
import type { Writable } from 'node:stream'
import { type Logger, pino } from 'pino'

/** A log of a level and what is worse, written to a stream. Never holds tokens, cookies or what is in a log. */
export function createLog(level: string, stream: Writable): Logger {
  return pino({ level, base: { pid: process.pid }, timestamp: pino.stdTimeFunctions.isoTime }, stream)
}
