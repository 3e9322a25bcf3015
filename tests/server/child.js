/**
 * A server in a process of its own, for tests that kill it. Its options are the first argument, in
 * JSON. Says in one line of JSON where it is, or why it is not.
 */
import { startServer } from '@firstcrank/server'

const options = JSON.parse(process.argv[2] ?? '{}')
try {
  const server = await startServer(options)
  for (const signal of ['SIGTERM', 'SIGINT']) {
    process.once(signal, async () => {
      await server.stop()
      process.exit(0)
    })
  }
  console.log(JSON.stringify({ port: server.port, sources: server.sources }))
} catch (error) {
  console.log(JSON.stringify({ error: error.code, message: error.message }))
  process.exit(1)
}
