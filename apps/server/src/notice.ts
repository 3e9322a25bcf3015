/** What the person who started a server should know without asking. */

/** Told one line of plain words: a source was lost, a disk is full, a file is no log. */
export type Notice = (text: string) => void
