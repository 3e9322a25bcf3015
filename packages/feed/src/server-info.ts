/** What a server says of itself, and pairing. */
import { z } from 'zod'

export const serverInfo = z
  .object({
    name: z.literal('firstcrank'),
    version: z.string(),
    feed: z.int(),
    lan: z.boolean().describe('Whether other devices may connect'),
    limits: z.object({ upload: z.number(), unpacked: z.number(), clients: z.int() }),
  })
  .meta({ id: 'ServerInfo' })

export type ServerInfo = z.infer<typeof serverInfo>

/** The code a terminal shows: eight characters without those that look alike. */
export const pairRequest = z
  .strictObject({ code: z.string().min(1).max(20), device: z.string().max(100).default('') })
  .meta({ id: 'PairRequest' })

export const pairResult = z.object({ paired: z.literal(true) }).meta({ id: 'PairResult' })

export const health = z
  .object({
    status: z.enum(['ok', 'degraded', 'stopping']),
    problems: z.array(z.string()),
    uptime: z.number().describe('Seconds'),
  })
  .meta({ id: 'Health' })

export type Health = z.infer<typeof health>
