/** The browser's message ports as the feed wants them. */
import type { Port } from '@firstcrank/feed'

/** One end of a message channel. */
export function portOf(port: MessagePort): Port {
  return {
    post: (message, transfer = []) => port.postMessage(message, transfer),
    receive: (listener) => {
      port.onmessage = ({ data }) => listener(data)
    },
    close: () => port.close(),
  }
}
