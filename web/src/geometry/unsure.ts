/** Which points the machine was unsure of. Twin of api/domain/unsure.py, where the reasons are. */

/** A point whose sigma exceeds this share of the picture's longer side is unsure. */
export const UNSURE_SHARE = 0.01;

/** So many sigmas from where it was put lies the true point, 95 times in 100. */
export const WITHIN = Math.sqrt(-2 * Math.log(0.05));

export const isUnsure = (sigmaPx: number, width: number, height: number): boolean => sigmaPx > UNSURE_SHARE * Math.max(width, height);

/** The radius that holds the true point 95 times in 100. */
export const doubtPx = (sigmaPx: number): number => WITHIN * sigmaPx;
