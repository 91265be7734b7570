/**
 * Folder of documents on their way in, cleared whenever the data are opened. Its name is ours alone: the data folder may
 * be one that holds other things of the person.
 */
export const INCOMING_FOLDER = 'idlewright-incoming';
