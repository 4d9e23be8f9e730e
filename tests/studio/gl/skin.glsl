// Skinning by four bones a vertex. `rows`: the first three rows of every bone's matrix.

layout(std140) uniform Bones { vec4 rows[456]; };

in vec3 in_place;
in vec4 in_weight;
in vec4 in_bone;

void blended(out vec4 a, out vec4 b, out vec4 c) {
    a = vec4(0.0); b = vec4(0.0); c = vec4(0.0);
    for (int i = 0; i < 4; i++) {
        int first = int(in_bone[i]) * 3;
        a += in_weight[i] * rows[first];
        b += in_weight[i] * rows[first + 1];
        c += in_weight[i] * rows[first + 2];
    }
}

vec3 moved(vec4 a, vec4 b, vec4 c, vec4 what) {
    return vec3(dot(a, what), dot(b, what), dot(c, what));
}
