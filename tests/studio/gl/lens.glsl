// The camera: from the world to clip coordinates, distortion included. Row 0 of the picture is row 0
// of the frame buffer, so y runs down.

uniform mat4 view;         // world to right, down, sight
uniform float focal;
uniform float k1;
uniform vec2 centre;
uniform vec2 size;
uniform vec2 depths;       // near, far

vec4 through_lens(vec3 world) {
    vec3 seen = (view * vec4(world, 1.0)).xyz;
    vec2 plane = seen.xy / seen.z;
    vec2 pixel = plane * (1.0 + k1 * dot(plane, plane)) * focal + centre;
    vec2 clip = (2.0 * pixel + 1.0) / size - 1.0;
    float deep = ((depths.y + depths.x) * seen.z - 2.0 * depths.y * depths.x) / (depths.y - depths.x);
    return vec4(clip * seen.z, deep, seen.z);
}
