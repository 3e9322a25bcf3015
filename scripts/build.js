/** `npm run build`: packages and apps compiled into their `dist` folders. */
import { main, setUp } from './setup.js'

await main(async () => {
  await setUp()
  return 0
})
