#version 430
// A stiff thing, drawn once for every cell of time. The last three rows are one copy's place; the
// cell is its start and end, seconds after the first row's exposure began.
#include "gl/lens.glsl"
uniform vec3 eye;
in vec3 in_place;
in vec3 in_normal;
in vec3 in_colour;
in vec4 in_row_x;
in vec4 in_row_y;
in vec4 in_row_z;
in vec2 in_cell;
out vec3 normal;
out vec3 colour;
out vec3 to_eye;
flat out vec2 cell;
void main() {
    vec4 at = vec4(in_place, 1.0);
    vec3 world = vec3(dot(in_row_x, at), dot(in_row_y, at), dot(in_row_z, at));
    normal = normalize(vec3(dot(in_row_x.xyz, in_normal), dot(in_row_y.xyz, in_normal), dot(in_row_z.xyz, in_normal)));
    colour = in_colour;
    to_eye = normalize(eye - world);
    cell = in_cell;
    gl_Position = through_lens(world);
}
