/** The frame that the desk has on show: its still, or the film at its time where none was made. */
export interface FrameOnShow {
  clipId: string;
  frame: number;
  time: number;
  url: string | null;
  proxy: string | null;
  width: number;
  height: number;
}
