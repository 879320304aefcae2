package card

import (
	"fmt"
	"maps"
	"reflect"
	"slices"
	"strings"

	"cel.dev/cel-go/common/types"
	"cel.dev/cel-go/common/types/ref"
)

// Fact is one fact that rules may use.
type Fact struct {
	Path string `json:"path"`          // "part.mask.covered"
	Type string `json:"type"`          // "bool", "int", "double", "string" or "list(string)"
	Unit string `json:"unit,omitzero"` // of a figure, "" of a bare number and of what is not one
	Says string `json:"says"`          // what it states, in a few words
}

// Vocabulary lists the facts that rules on cards may use, in the order in
// which they are declared. Under corner.joints, name stands for a joint of the
// card.
func Vocabulary() []Fact {
	f := newVocabulary(&Card{Joints: map[string]Joint{"name": {}}})
	var list []Fact
	for _, root := range rootsOf(OnPart) {
		list = append(list, f.list(root, root)...)
	}
	return list
}

func (f *vocabulary) list(path, typeName string) []Fact {
	var list []Fact
	for _, m := range f.types[typeName] {
		at := path + "." + m.name
		if m.Type.Kind() == types.StructKind {
			list = append(list, f.list(at, strings.TrimPrefix(m.Type.TypeName(), factsOf))...)
		} else {
			list = append(list, Fact{Path: at, Type: m.Type.String(), Unit: m.unit, Says: m.says})
		}
	}
	return list
}

// vocabulary tells the rule language which facts there are and how to read them
// from the structs that hold them. Fields with a fact tag are facts; a struct
// in such a field is a group.
type vocabulary struct {
	*types.Registry
	types map[string][]member
}

// member is one field of a type of facts.
type member struct {
	types.FieldType
	name, unit, says string
}

func newVocabulary(card *Card) *vocabulary {
	f := &vocabulary{Registry: types.NewEmptyRegistry(), types: make(map[string][]member)}
	f.declare("part", reflect.TypeFor[PartFacts]())
	f.declare("corner", reflect.TypeFor[CornerFacts]())
	f.declare("vehicle", reflect.TypeFor[VehicleFacts]())
	f.declare("joint", reflect.TypeFor[JointFacts]())
	f.types["limits"] = nil
	for _, name := range sortedKeys(card.Limits) {
		f.add("limits", member{name: name}, types.DoubleType, func(of any) (any, error) { return of.(limits)[name], nil })
	}
	f.types["joints"] = nil
	for _, name := range sortedKeys(card.Joints) {
		f.add("joints", member{name: name}, f.object("joint"), func(of any) (any, error) { return of.(Joints)[name], nil })
	}
	return f
}

// declare takes a struct of facts in, and the groups in it.
func (f *vocabulary) declare(name string, t reflect.Type) {
	f.types[name] = nil
	for i := range t.NumField() {
		field := t.Field(i)
		tag := field.Tag.Get("fact")
		if tag == "" {
			continue
		}
		below := name + "." + tag
		group := field.Type.Kind() == reflect.Struct
		switch {
		case field.Type == reflect.TypeFor[Joints]():
			f.add(name, member{name: tag}, f.object("joints"), func(of any) (any, error) { return reflect.ValueOf(of).Elem().Field(i).Interface(), nil })
			continue
		case group:
			f.declare(below, field.Type)
		}
		f.add(name, member{name: tag, unit: field.Tag.Get("unit"), says: field.Tag.Get("says")}, f.typeOf(below, field.Type), func(of any) (any, error) {
			v := reflect.ValueOf(of)
			if v.Kind() != reflect.Pointer || v.IsNil() {
				return nil, fmt.Errorf("there are no facts of %s", name)
			}
			if group {
				return v.Elem().Field(i).Addr().Interface(), nil
			}
			return v.Elem().Field(i).Interface(), nil
		})
	}
}

func (f *vocabulary) add(to string, m member, t *types.Type, get ref.FieldGetter) {
	m.FieldType = types.FieldType{Type: t, IsSet: func(any) bool { return true }, GetFrom: get}
	f.types[to] = append(f.types[to], m)
}

// factsOf stands before the path in the name of a group's type, so that the
// rule language does not take the path for the name of a type.
const factsOf = "facts of "

func (f *vocabulary) object(name string) *types.Type { return types.NewObjectType(factsOf + name) }

func (f *vocabulary) typeOf(name string, t reflect.Type) *types.Type {
	switch t.Kind() {
	case reflect.Struct:
		return f.object(name)
	case reflect.Bool:
		return types.BoolType
	case reflect.Int:
		return types.IntType
	case reflect.Float64:
		return types.DoubleType
	case reflect.Slice:
		return types.NewListType(types.StringType)
	default:
		return types.StringType
	}
}

// FindStructType says whether there is a type of that name.
func (f *vocabulary) FindStructType(name string) (*types.Type, bool) {
	group, _ := strings.CutPrefix(name, factsOf)
	if _, ok := f.types[group]; !ok || group == name {
		return f.Registry.FindStructType(name)
	}
	return types.NewTypeTypeWithParam(f.object(group)), true
}

// FindStructFieldNames lists the facts of a group.
func (f *vocabulary) FindStructFieldNames(name string) ([]string, bool) {
	members, ok := f.types[strings.TrimPrefix(name, factsOf)]
	var names []string
	for _, m := range members {
		names = append(names, m.name)
	}
	return names, ok
}

// FindStructFieldType returns the type of a fact and how to read it.
func (f *vocabulary) FindStructFieldType(name, field string) (*types.FieldType, bool) {
	members := f.types[strings.TrimPrefix(name, factsOf)]
	i := slices.IndexFunc(members, func(m member) bool { return m.name == field })
	if i < 0 {
		return nil, false
	}
	return &members[i].FieldType, true
}

// group returns the path of the deepest group of facts on a path, such as
// part.mask of part.mask.covered; "" if the path leads through none.
func (f *vocabulary) group(path string) (found string) {
	words := strings.Split(path, ".")
	name := words[0]
	for i, word := range words[1:] {
		field, known := f.FindStructFieldType(name, word)
		if !known || field.Type.Kind() != types.StructKind {
			break
		}
		if name = field.Type.TypeName(); name != factsOf+"joints" {
			found = strings.Join(words[:i+2], ".")
		}
	}
	return found
}

// at returns the fact that a path leads to; the zero member if it leads to none.
func (f *vocabulary) at(path string) (m member) {
	words := strings.Split(path, ".")
	name := words[0]
	for _, word := range words[1:] {
		members := f.types[name]
		i := slices.IndexFunc(members, func(m member) bool { return m.name == word })
		if i < 0 {
			return member{}
		}
		m = members[i]
		name = strings.TrimPrefix(m.Type.TypeName(), factsOf)
	}
	return m
}

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }
