// The share of a picture row's exposure that falls into a cell of time.

uniform float exposure;    // seconds
uniform float rolling;     // seconds from the first row's start to the last one's
uniform float last_row;

float share_of(vec2 cell, float row) {
    float start = rolling * row / last_row;
    return max(0.0, min(cell.y, start + exposure) - max(cell.x, start)) / exposure;
}
