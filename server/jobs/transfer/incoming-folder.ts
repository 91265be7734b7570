/** Folder of documents on their way in; cleared whenever the data are opened. */
export const INCOMING_FOLDER = 'incoming';
