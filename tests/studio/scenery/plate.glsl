#version 430
// One pixel of the plate: its ray, then the light along it.

#include "scenery/noise.glsl"
#include "scenery/outdoors.glsl"
#include "scenery/places.glsl"
#include "scenery/indoors.glsl"

// KIND: 0 field, 1 net bay, 2 range, 3 room.
uniform vec3 eye;
uniform mat3 axes;         // columns: right, down, sight
uniform float focal;
uniform float k1;
uniform vec2 centre;
uniform vec2 jitter;
uniform float share;

out vec4 light;

vec2 straightened(vec2 bent) {
    float radius = length(bent), straight = radius;
    for (int i = 0; i < 6; i++)
        straight -= (straight * (1.0 + k1 * straight * straight) - radius) / (1.0 + 3.0 * k1 * straight * straight);
    return radius > 0.0 ? bent * straight / radius : bent;
}

void main() {
    vec2 plane = straightened((gl_FragCoord.xy - 0.5 + jitter - centre) / focal);
    vec3 ray = axes * normalize(vec3(plane, 1.0));
    float grain = 1.0 / (focal * (1.0 + dot(plane, plane)));
#if KIND == 0
    vec3 seen = field(eye, ray, grain);
#elif KIND == 1
    vec3 seen = net_bay(eye, ray, grain);
#elif KIND == 2
    vec3 seen = driving_range(eye, ray, grain);
#else
    vec3 seen = room(eye, ray, grain);
#endif
    light = vec4(max(seen, 0.0), 1.0) * share;
}
